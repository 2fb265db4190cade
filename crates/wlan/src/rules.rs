//! Power limits of regulators: one row for each band, country group and role, each with its rule. Availability of channels is not here.

use findings::Source;

use crate::Role;

/// A power limit that holds on a stretch of spectrum. Levels in dBm; density in dBm/MHz.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    /// MHz.
    pub low: f64,
    /// MHz.
    pub high: f64,
    /// Whom it binds; both if absent.
    pub role: Option<Role>,
    /// Total radiated power over isotropic.
    pub eirp: f64,
    /// Radiated density, if limited.
    pub density: Option<f64>,
    /// Conducted power, if limited by itself.
    pub conducted: Option<f64>,
    /// Only indoors.
    pub indoor_only: bool,
    pub cite: &'static str,
    /// Of the edition cited.
    pub date: &'static str,
    pub from_memory: bool,
}

impl Row {
    pub fn source(&self) -> Source {
        let source = Source::regulation(self.cite);
        if self.from_memory { source.from_memory() } else { source }
    }
}

const fn row(low: f64, high: f64, eirp: f64, cite: &'static str, date: &'static str) -> Row {
    Row {
        low,
        high,
        role: None,
        eirp,
        density: None,
        conducted: None,
        indoor_only: false,
        cite,
        date,
        from_memory: false,
    }
}

impl Row {
    const fn density(mut self, dbm_per_mhz: f64) -> Row {
        self.density = Some(dbm_per_mhz);
        self
    }
    const fn conducted(mut self, dbm: f64) -> Row {
        self.conducted = Some(dbm);
        self
    }
    const fn role(mut self, role: Role) -> Row {
        self.role = Some(role);
        self
    }
    const fn indoors(mut self) -> Row {
        self.indoor_only = true;
        self
    }
    const fn recalled(mut self) -> Row {
        self.from_memory = true;
        self
    }
}

const AP: Role = Role::AccessPoint;
const CLIENT: Role = Role::Client;
/// 250 mW, 200 mW, 25 mW and 50 mW in dBm.
const MW_250: f64 = 23.979_400_086_720_375;
const MW_200: f64 = 23.010_299_956_639_813;
const MW_25: f64 = 13.979_400_086_720_375;
/// A limit on conducted power allows antennas of 6 dBi; each decibel more lowers it by one.
const GAIN: f64 = 6.0;
/// 500 mW: what a radio without transmit power control may radiate where radar has priority (47 CFR 15.407(h)(1); RSS-247, 6.2.2 and 6.2.3; from memory;
/// wireless-regdb has it for Canada).
const MW_500: f64 = 26.989_700_043_360_187;

/// United States. The density of the 2.4 GHz rule (8 dBm in 3 kHz) never binds on a channel of 20 MHz and is left out.
const US: &[Row] = &[
    row(2400.0, 2483.5, 30.0 + GAIN, "47 CFR 15.247(b)(3) and (b)(4): 1 W conducted, 6 dBi", "2014-06-02")
        .conducted(30.0),
    row(5150.0, 5250.0, 30.0 + GAIN, "47 CFR 15.407(a)(1)(ii): 1 W conducted, 17 dBm/MHz, 6 dBi", "2014-06-02")
        .density(17.0 + GAIN)
        .conducted(30.0)
        .role(AP)
        .recalled(),
    row(5150.0, 5250.0, MW_250 + GAIN, "47 CFR 15.407(a)(1)(iv): 250 mW conducted, 11 dBm/MHz, 6 dBi", "2014-06-02")
        .density(11.0 + GAIN)
        .conducted(MW_250)
        .role(CLIENT),
    row(
        5250.0,
        5350.0,
        MW_500,
        "47 CFR 15.407(a)(2): lesser of 250 mW and 11 dBm + 10 log B, 11 dBm/MHz, 6 dBi; (h)(1): 500 mW EIRP without power control",
        "2014-06-02",
    )
    .density(11.0 + GAIN)
    .conducted(MW_250)
    .recalled(),
    row(
        5470.0,
        5725.0,
        MW_500,
        "47 CFR 15.407(a)(2): lesser of 250 mW and 11 dBm + 10 log B, 11 dBm/MHz, 6 dBi; (h)(1): 500 mW EIRP without power control",
        "2014-06-02",
    )
    .density(11.0 + GAIN)
    .conducted(MW_250)
    .recalled(),
    // 30 dBm in 500 kHz, radiated 36 dBm in 500 kHz, is 39 dBm/MHz.
    row(5725.0, 5850.0, 30.0 + GAIN, "47 CFR 15.407(a)(3): 1 W conducted, 30 dBm/500 kHz, 6 dBi", "2014-06-02")
        .density(33.010_299_956_639_81 + GAIN)
        .conducted(30.0),
    row(
        5850.0,
        5895.0,
        36.0,
        "47 CFR 15.407(a)(3)(ii): indoor access point, 36 dBm EIRP, 20 dBm/MHz EIRP",
        "2021-07-02",
    )
    .density(20.0)
    .role(AP)
    .indoors()
    .recalled(),
    row(
        5850.0,
        5895.0,
        30.0,
        "47 CFR 15.407(a)(3)(iii): client of an indoor access point, 30 dBm EIRP, 14 dBm/MHz EIRP",
        "2021-07-02",
    )
    .density(14.0)
    .role(CLIENT)
    .indoors()
    .recalled(),
    row(
        5925.0,
        7125.0,
        30.0,
        "47 CFR 15.407(a)(5): low-power indoor access point, 30 dBm EIRP, 5 dBm/MHz EIRP",
        "2020-07-27",
    )
    .density(5.0)
    .role(AP)
    .indoors(),
    row(
        5925.0,
        7125.0,
        24.0,
        "47 CFR 15.407(a)(8): client of a low-power indoor access point, 24 dBm EIRP, -1 dBm/MHz EIRP",
        "2020-07-27",
    )
    .density(-1.0)
    .role(CLIENT)
    .indoors(),
];

/// Canada. 5600 to 5650 MHz has no row: RSS-247 does not allow it.
const CA: &[Row] = &[
    row(2400.0, 2483.5, 30.0 + GAIN, "RSS-247 Issue 3, 5.4(d): 1 W conducted, 4 W EIRP", "2023-08-01")
        .conducted(30.0)
        .recalled(),
    row(
        5150.0,
        5250.0,
        MW_200,
        "RSS-247 Issue 3, 6.2.1: lesser of 200 mW and 10 dBm + 10 log B EIRP, 10 dBm/MHz, indoors",
        "2023-08-01",
    )
    .density(10.0)
    .indoors()
    .recalled(),
    row(
        5250.0,
        5350.0,
        MW_500,
        "RSS-247 Issue 3, 6.2.2: 250 mW and 11 dBm/MHz conducted; lesser of 1 W and 17 dBm + 10 log B EIRP, 500 mW without power control",
        "2023-08-01",
    )
    .density(17.0)
    .conducted(MW_250)
    .recalled(),
    row(
        5470.0,
        5600.0,
        MW_500,
        "RSS-247 Issue 3, 6.2.3: 250 mW and 11 dBm/MHz conducted; lesser of 1 W and 17 dBm + 10 log B EIRP, 500 mW without power control",
        "2023-08-01",
    )
    .density(17.0)
    .conducted(MW_250)
    .recalled(),
    row(
        5650.0,
        5725.0,
        MW_500,
        "RSS-247 Issue 3, 6.2.3: 250 mW and 11 dBm/MHz conducted; lesser of 1 W and 17 dBm + 10 log B EIRP, 500 mW without power control",
        "2023-08-01",
    )
    .density(17.0)
    .conducted(MW_250)
    .recalled(),
    row(5725.0, 5850.0, 30.0 + GAIN, "RSS-247 Issue 3, 6.2.4: 1 W conducted, 30 dBm/500 kHz, 6 dBi", "2023-08-01")
        .density(33.010_299_956_639_81 + GAIN)
        .conducted(30.0)
        .recalled(),
    row(
        5925.0,
        7125.0,
        30.0,
        "RSS-248 Issue 1: low-power indoor access point, 30 dBm EIRP, 5 dBm/MHz EIRP",
        "2021-11-19",
    )
    .density(5.0)
    .role(AP)
    .indoors()
    .recalled(),
    row(
        5925.0,
        7125.0,
        24.0,
        "RSS-248 Issue 1: client of a low-power indoor access point, 24 dBm EIRP, -1 dBm/MHz EIRP",
        "2021-11-19",
    )
    .density(-1.0)
    .role(CLIENT)
    .indoors()
    .recalled(),
];

/// Member states of the European Union. Radios are taken to have no power control, so that the limits with radar detection are those 3 dB lower.
const EU: &[Row] = &[
    row(2400.0, 2483.5, 20.0, "EN 300 328 and ERC/REC 70-03, Annex 3: 100 mW EIRP, 10 mW/MHz", "2019-07-01")
        .density(10.0),
    row(
        5150.0,
        5250.0,
        MW_200,
        "ECC/DEC/(04)08 and EN 301 893, Table 2: 200 mW EIRP, 10 mW/MHz, indoors",
        "2009-10-30",
    )
    .density(10.0)
    .indoors(),
    row(
        5250.0,
        5350.0,
        20.0,
        "ECC/DEC/(04)08 and EN 301 893, Table 2: 100 mW EIRP, 5 mW/MHz without power control, indoors",
        "2009-10-30",
    )
    .density(6.989_700_043_360_188)
    .indoors(),
    row(
        5470.0,
        5725.0,
        26.989_700_043_360_187,
        "ECC/DEC/(04)08 and EN 301 893, Table 2: 500 mW EIRP, 25 mW/MHz without power control",
        "2009-10-30",
    )
    .density(MW_25),
    row(5725.0, 5875.0, MW_25, "ERC/REC 70-03, Annex 1: short-range devices, 25 mW EIRP", "2021-02-12").recalled(),
    row(
        5945.0,
        6425.0,
        23.0,
        "(EU) 2021/1067 and ECC/DEC/(20)01: low-power indoor, 23 dBm EIRP, 10 dBm/MHz EIRP",
        "2021-06-17",
    )
    .density(10.0)
    .indoors(),
];

/// Great Britain. Without power control, as for the European Union.
const GB: &[Row] = &[
    row(2400.0, 2483.5, 20.0, "UK Interface Requirement 2030 and EN 300 328: 100 mW EIRP, 10 mW/MHz", "2024-01-01")
        .density(10.0)
        .recalled(),
    row(5150.0, 5250.0, MW_200, "UK Interface Requirement 2030: 200 mW EIRP, 10 mW/MHz, indoors", "2024-01-01")
        .density(10.0)
        .indoors()
        .recalled(),
    row(
        5250.0,
        5350.0,
        20.0,
        "UK Interface Requirement 2030: 100 mW EIRP, 5 mW/MHz without power control, indoors",
        "2024-01-01",
    )
    .density(6.989_700_043_360_188)
    .indoors()
    .recalled(),
    row(
        5470.0,
        5725.0,
        26.989_700_043_360_187,
        "UK Interface Requirement 2030: 500 mW EIRP, 25 mW/MHz without power control",
        "2024-01-01",
    )
    .density(MW_25)
    .recalled(),
    row(5725.0, 5850.0, MW_200, "UK Interface Requirement 2030: 200 mW EIRP, 10 mW/MHz, indoors", "2024-01-01")
        .density(10.0)
        .indoors()
        .recalled(),
    row(
        5925.0,
        6425.0,
        MW_250,
        "Ofcom, statement on spectrum access in the 6 GHz band: low-power indoor, 250 mW EIRP, 12.6 mW/MHz",
        "2020-07-24",
    )
    .density(11.003_705_451_175_63)
    .indoors()
    .recalled(),
];

/// Japan. Without power control where that halves the limit.
const JP: &[Row] = &[
    row(
        2400.0,
        2497.0,
        20.0,
        "Ordinance Regulating Radio Equipment, Art. 49-20: 10 mW/MHz, read as 10 dBm/MHz and 100 mW EIRP",
        "2022-09-02",
    )
    .density(10.0)
    .recalled(),
    row(
        5150.0,
        5250.0,
        MW_200,
        "Ordinance Regulating Radio Equipment, Art. 49-20: 200 mW EIRP, 10 mW/MHz EIRP, indoors",
        "2022-09-02",
    )
    .density(10.0)
    .indoors()
    .recalled(),
    row(
        5250.0,
        5350.0,
        20.0,
        "Ordinance Regulating Radio Equipment, Art. 49-20: 5 mW/MHz EIRP without power control, indoors",
        "2022-09-02",
    )
    .density(6.989_700_043_360_188)
    .indoors()
    .recalled(),
    row(
        5470.0,
        5730.0,
        26.989_700_043_360_187,
        "Ordinance Regulating Radio Equipment, Art. 49-20: 25 mW/MHz EIRP without power control",
        "2022-09-02",
    )
    .density(MW_25)
    .recalled(),
    row(
        5925.0,
        6425.0,
        MW_200,
        "Ordinance Regulating Radio Equipment, Art. 49-20: low-power indoor, 200 mW EIRP",
        "2022-09-02",
    )
    .density(10.0)
    .indoors()
    .recalled(),
];

const EU_MEMBERS: [&str; 27] = [
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
    "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
];

/// The rows of a country; nothing where no rule is cited.
pub(crate) fn rows(country: &str) -> Option<&'static [Row]> {
    match country {
        "US" => Some(US),
        "CA" => Some(CA),
        "GB" => Some(GB),
        "JP" => Some(JP),
        code if EU_MEMBERS.contains(&code) => Some(EU),
        _ => None,
    }
}

/// Countries whose power limits are cited here, by code.
#[must_use]
pub fn countries_with_limits() -> Vec<&'static str> {
    let mut codes: Vec<&'static str> = ["US", "CA", "GB", "JP"].into_iter().chain(EU_MEMBERS).collect();
    codes.sort_unstable();
    codes
}
