//! 802.15.4 messages beside strong Wi-Fi that is on and off by turns, followed in time.

use wlan::LowPowerRadio;

struct OnOff {
    seed: u64,
    is_on: bool,
    until: f64,
    stretches: [f64; 2],
}

impl OnOff {
    fn uniform(&mut self) -> f64 {
        self.seed = self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.seed >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Goes on to a time; true if it was on at some moment on the way.
    fn pass(&mut self, to: f64) -> bool {
        let mut was_on = self.is_on;
        while self.until < to {
            self.is_on = !self.is_on;
            was_on |= self.is_on;
            self.until -= self.uniform().ln() * self.stretches[usize::from(self.is_on)];
        }
        was_on
    }
}

/// Shares of messages that go through at the first try, and at all within four. Wi-Fi ruins whatever it hits; messages come far apart, their retries
/// at once. Where Wi-Fi is not heard every look finds the channel free.
pub fn followed(airtime: f64, burst: f64, octets: u32, is_heard: bool, num: u32) -> (f64, f64) {
    let gap = burst * (1.0 - airtime) / airtime;
    let mut air = OnOff { seed: 11, is_on: false, until: 0.0, stretches: [gap, burst] };
    let (mut now, mut first, mut delivered) = (0.0, 0, 0);
    for _ in 0..num {
        now += 0.3;
        'tries: for transmission in 0..4 {
            let mut has_air = false;
            for exponent in [3, 4, 5, 5, 5] {
                now += (air.uniform() * f64::from(1 << exponent)).floor() * 320e-6;
                air.pass(now);
                if !(is_heard && air.is_on) {
                    has_air = true;
                    break;
                }
            }
            if !has_air {
                break 'tries;
            }
            now += LowPowerRadio::Ieee802154.exchange(octets).0;
            if !air.pass(now) {
                first += u32::from(transmission == 0);
                delivered += 1;
                break 'tries;
            }
        }
    }
    (f64::from(first) / f64::from(num), f64::from(delivered) / f64::from(num))
}
