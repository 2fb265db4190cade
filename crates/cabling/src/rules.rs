//! Every rule that the wires are held to, with who sets its limit.

use findings::{Rule, Severity, Source};

use crate::routes::{END_OUTSIDE, END_WITHOUT_PLACE, MANY_JOISTS, PERMANENT_LINK_TOO_LONG, UNREACHABLE};

/// More links end at a part than it has ports.
pub const PORTS_EXCEEDED: Rule = Rule {
    id: "cabling.ports-exceeded",
    severity: Severity::Fails,
    summary: "more cables end at a part than it has ports",
    limit: "ports of the part",
    cite: || Source::generic(),
};

/// A part has too few free ports.
pub const SPARE_PORTS: Rule = Rule {
    id: "cabling.spare-ports",
    severity: Severity::Note,
    summary: "a switch has few free ports",
    limit: "25 % of the ports in use, more if things are to be added",
    cite: Source::common_practice,
};

/// A cable does not fit the ports at its ends.
pub const PORT_MISMATCH: Rule = Rule {
    id: "cabling.port-mismatch",
    severity: Severity::Fails,
    summary: "a cable ends at a part that has no port of its kind",
    limit: "copper to copper ports, glass fibre to fibre ports",
    cite: || Source::generic(),
};

/// An uplink carries far less than the ports that it serves, on the way of streams.
pub const OVERSUBSCRIBED: Rule = Rule {
    id: "cabling.oversubscribed",
    severity: Severity::Note,
    summary: "the ports behind an uplink add up to more than four times its rate, with a camera or store behind it",
    limit: "4 : 1",
    cite: Source::common_practice,
};

/// A chain of switches is too deep.
pub const SWITCH_DEPTH: Rule = Rule {
    id: "cabling.switch-depth",
    severity: Severity::Risk,
    summary: "more than three switches follow one another on a path",
    limit: "3 switches between any two ends",
    cite: Source::common_practice,
};

/// Links form a ring.
pub const LOOP: Rule = Rule {
    id: "cabling.loop",
    severity: Severity::Fails,
    summary: "links form a ring, in which broadcasts run for ever unless a part of it opens the ring",
    limit: "one way between any two parts, or loop protection (spanning tree) in a managed switch of the ring",
    cite: || Source::standard("IEEE 802.1Q-2022, clauses 8 and 13: active topology and spanning tree").from_memory(),
};

/// Devices that join one another by radio are cabled more than once.
pub const CABLED_BRIDGES: Rule = Rule {
    id: "cabling.cabled-bridges",
    severity: Severity::Risk,
    summary: "speakers that may join one another by radio are cabled more than once, so that they may close a ring",
    limit: "one cabled speaker of a set, or loop protection in the switch",
    cite: Source::common_practice,
};

/// A part that needs power has none.
pub const NOT_POWERED: Rule = Rule {
    id: "cabling.not-powered",
    severity: Severity::Fails,
    summary: "a part that draws power is fed from nothing",
    limit: "mains, a battery supply or a data cable",
    cite: || Source::generic(),
};

/// A panel has no mains outlet.
pub const PANEL_NO_POWER: Rule = Rule {
    id: "cabling.panel-without-power",
    severity: Severity::Risk,
    summary: "parts in a panel draw from the mains and no outlet is known there",
    limit: "two duplex outlets in or beside the panel",
    cite: Source::common_practice,
};

/// A panel has too few sockets.
pub const PANEL_SOCKETS: Rule = Rule {
    id: "cabling.panel-sockets",
    severity: Severity::Risk,
    summary: "more plugs are in a panel than it has sockets",
    limit: "two duplex outlets, unless stated",
    cite: Source::common_practice,
};

/// A panel is full.
pub const PANEL_FULL: Rule = Rule {
    id: "cabling.panel-full",
    severity: Severity::Risk,
    summary: "what stands in a panel takes more height than it has",
    limit: "height of the panel",
    cite: Source::generic,
};

/// A panel gets too warm.
pub const PANEL_HEAT: Rule = Rule {
    id: "cabling.panel-heat",
    severity: Severity::Risk,
    summary: "a panel gets much warmer inside than its room",
    limit: "15 K: equipment bears 40 °C and a warm room has 25 °C",
    cite: || Source::model("P / (U·A + 1.2·10³·V̇); limit: generic figure"),
};

/// A fixed cable or channel is too long.
pub const CHANNEL_TOO_LONG: Rule = Rule {
    id: "cabling.channel-too-long",
    severity: Severity::Fails,
    summary: "a fixed cable is longer than 90 m, or with its cords longer than a channel may be",
    limit: "90 m fixed, 100 m with cords",
    cite: || Source::standard("TIA-568.2-D and ISO/IEC 11801-1: permanent link 90 m, channel 100 m"),
};

/// Cords are too long for their gauge.
pub const CORDS_TOO_LONG: Rule = Rule {
    id: "cabling.cords-too-long",
    severity: Severity::Risk,
    summary: "the cords of a channel lose more than goes with the length of its fixed cable",
    limit: "(102 m - fixed length) / (1 + derating of the cord)",
    cite: || Source::standard("TIA-568.2-D, length of cords"),
};

/// The ports are faster than the cable between them.
pub const RATE_NOT_CARRIED: Rule = Rule {
    id: "cabling.rate-not-carried",
    severity: Severity::Risk,
    summary: "a cable of this category and length does not carry the rate of its ports",
    limit: "length of the rate on the category",
    cite: || {
        Source::standard("IEEE 802.3-2022; TIA TSB-155-A (10GBASE-T) and TSB-5021 (2.5 and 5 Gbit/s)").from_memory()
    },
};

/// A channel loses more than its limit.
pub const CHANNEL_LOSS: Rule = Rule {
    id: "cabling.channel-loss",
    severity: Severity::Risk,
    summary: "a channel may lose more than its category permits, at its length and temperature",
    limit: "loss of the category's channel at its highest frequency",
    cite: || Source::standard("TIA-568.2-D: channel insertion loss and its rise with temperature").from_memory(),
};

/// The loop resistance is too high.
pub const LOOP_RESISTANCE: Rule = Rule {
    id: "cabling.loop-resistance",
    severity: Severity::Risk,
    summary: "the pairs of a channel have more resistance than is permitted",
    limit: "25 Ω out and back",
    cite: || Source::standard("ISO/IEC 11801-1; TIA-568.2-D: direct-current loop resistance").from_memory(),
};

/// A cable of copper-clad aluminium.
pub const CLAD_ALUMINIUM: Rule = Rule {
    id: "cabling.clad-aluminium",
    severity: Severity::Fails,
    summary: "a cable has conductors of aluminium with a copper skin, which no cabling standard permits",
    limit: "copper throughout",
    cite: || Source::standard("TIA-568.2-D and ISO/IEC 11801-1: copper conductors"),
};

/// A thin cord carries power.
pub const THIN_CORD: Rule = Rule {
    id: "cabling.thin-cord",
    severity: Severity::Risk,
    summary: "a cord thinner than 26 AWG carries power",
    limit: "26 AWG or thicker where power is carried",
    cite: || Source::standard("TIA TSB-184-A: thin cords are to be avoided for power"),
};

/// Stranded cable is fixed in a wall.
pub const STRANDED_FIXED: Rule = Rule {
    id: "cabling.stranded-fixed",
    severity: Severity::Fails,
    summary: "a fixed cable is stranded: it loses more and does not hold in punched-down jacks",
    limit: "solid conductors of 22 to 24 AWG",
    cite: || Source::standard("TIA-568.2-D: horizontal cable"),
};

/// A jacket does not suit its place.
pub const WRONG_JACKET: Rule = Rule {
    id: "cabling.wrong-jacket",
    severity: Severity::Risk,
    summary: "a cable's jacket is not fit for where it runs; the local code decides",
    limit: "sun outdoors, water in the ground, fire class indoors",
    cite: || {
        Source::regulation(
            "NFPA 70 article 800 (North America); EN 13501-6 and national rules (Europe); the local code decides",
        )
        .from_memory()
    },
};

/// Copper runs outside the building.
pub const COPPER_OUTSIDE: Rule = Rule {
    id: "cabling.copper-outside",
    severity: Severity::Note,
    summary: "a copper cable runs outside the building, where lightning nearby drives surges through it",
    limit: "surge protection bonded to the building's earth where it enters, at both ends, or glass fibre",
    cite: || Source::standard("IEC 62305-4; EN 50174-3; NFPA 70, 800.90 and 800.100").from_memory(),
};

/// A hole or pipe is too full.
pub const FILL: Rule = Rule {
    id: "cabling.fill",
    severity: Severity::Risk,
    summary: "cables fill more of a hole or pipe than they can be pulled through",
    limit: "53 % for one cable, 31 % for two, 40 % for three and more",
    cite: || Source::standard("NFPA 70, chapter 9, table 1; EN 50174-2: 40 %").from_memory(),
};

/// A powered device needs a higher class than its port gives.
pub const POE_CLASS: Rule = Rule {
    id: "cabling.poe-class",
    severity: Severity::Fails,
    summary: "a part fed over its data cable asks for a higher PoE class than the port gives",
    limit: "class of the port",
    cite: || Source::standard("IEEE 802.3-2022, clauses 33 and 145: power classes"),
};

/// A device that takes its power over its data cable gets none.
pub const POE_UNFED: Rule = Rule {
    id: "cabling.poe-unfed",
    severity: Severity::Fails,
    summary: "a device that takes its power over its data cable is fed by nothing",
    limit: "a supply of its class at the other end of its cable, or a supply of its own",
    cite: || Source::standard("IEEE 802.3-2022, clauses 33 and 145"),
};

/// More powered devices than powered ports.
pub const POE_PORTS: Rule = Rule {
    id: "cabling.poe-ports",
    severity: Severity::Fails,
    summary: "more parts are fed over their data cables than a supply has powered ports",
    limit: "powered ports of the supply",
    cite: || Source::generic(),
};

/// The worst draw of all powered devices passes the usable budget.
pub const POE_BUDGET: Rule = Rule {
    id: "cabling.poe-budget",
    severity: Severity::Fails,
    summary: "the worst draw of all parts fed over data cables passes 80 % of the supply's budget",
    limit: "80 % of the supply's PoE budget",
    cite: Source::common_practice,
};

/// A powered device is not joined to its supply by copper.
pub const POE_NO_CABLE: Rule = Rule {
    id: "cabling.poe-no-cable",
    severity: Severity::Fails,
    summary: "a part is to be fed over a data cable, and no copper cable joins it with its supply",
    limit: "twisted pairs from the supply to the part",
    cite: || Source::standard("IEEE 802.3-2022, clauses 33 and 145"),
};

/// A powered device gets too little voltage.
pub const POE_VOLTAGE: Rule = Rule {
    id: "cabling.poe-voltage",
    severity: Severity::Fails,
    summary: "a part fed over its data cable gets less voltage than it needs at its highest draw",
    limit: "37 V (classes 0 to 3), 42.5 V (4 to 6), 41.1 V (7 and 8)",
    cite: || Source::standard("IEEE 802.3-2022, clauses 33 and 145: voltage at the powered part"),
};

/// The supply does not bear the start.
pub const POE_START: Rule = Rule {
    id: "cabling.poe-start",
    severity: Severity::Risk,
    summary: "powered parts that start together draw more than the supply gives",
    limit: "budget of the supply",
    cite: || Source::standard("IEEE 802.3-2022, 33.2.7 and 145.2.8: current while a part starts").from_memory(),
};

/// A bundle gets too warm.
pub const BUNDLE_HEAT: Rule = Rule {
    id: "cabling.bundle-heat",
    severity: Severity::Risk,
    summary: "powered cables that run side by side get more than 15 K warmer than their surroundings, or too hot for their rating",
    limit: "15 K, and 60 °C in all",
    cite: || Source::standard("TIA TSB-184-A: rise of 15 °C; 60 °C is the usual rating of data cable"),
};

/// A bundle has too many powered cables.
pub const BUNDLE_SIZE: Rule = Rule {
    id: "cabling.bundle-size",
    severity: Severity::Note,
    summary: "more than 24 cables, powered ones among them, run in one bundle",
    limit: "24 cables",
    cite: || Source::standard("TIA TSB-184-A: bundles of 24 cables at most"),
};

/// Every rule of this engine.
pub const RULES: &[Rule] = &[
    PORTS_EXCEEDED,
    SPARE_PORTS,
    PORT_MISMATCH,
    OVERSUBSCRIBED,
    SWITCH_DEPTH,
    LOOP,
    CABLED_BRIDGES,
    NOT_POWERED,
    PANEL_NO_POWER,
    PANEL_SOCKETS,
    PANEL_FULL,
    PANEL_HEAT,
    CHANNEL_TOO_LONG,
    CORDS_TOO_LONG,
    RATE_NOT_CARRIED,
    CHANNEL_LOSS,
    LOOP_RESISTANCE,
    CLAD_ALUMINIUM,
    THIN_CORD,
    STRANDED_FIXED,
    WRONG_JACKET,
    COPPER_OUTSIDE,
    FILL,
    POE_CLASS,
    POE_UNFED,
    POE_PORTS,
    POE_BUDGET,
    POE_NO_CABLE,
    POE_VOLTAGE,
    POE_START,
    BUNDLE_HEAT,
    BUNDLE_SIZE,
    END_OUTSIDE,
    END_WITHOUT_PLACE,
    UNREACHABLE,
    PERMANENT_LINK_TOO_LONG,
    MANY_JOISTS,
    crate::take_off::CORD_TOO_LONG,
    crate::take_off::SPOOL_TOO_SHORT,
    crate::labour::CREW_TOO_SMALL,
];
