//! Figures of the sampled evenings. What is wrong is in `evening_findings`.

use findings::{Figure, Source};

use crate::cameras::{RESERVE, USABLE};
use crate::evening_gather::Gathered;
use crate::evening_judge::CALL_BEYOND;
use crate::hour::{BusyHour, Spread};
use crate::loads::{limits_source, load_figure, name};

fn model() -> Source {
    Source::model("evenings sampled: people and devices over shared channels, cables and the line")
}

pub(crate) fn figures(all: &Gathered, hour: &BusyHour) -> Vec<Figure> {
    let mut figures = vec![headroom(all)];
    for (load, place) in all.loads.iter().zip(&all.places) {
        // The median stands where the mean stands in a single moment's figure.
        let of = |e: &crate::evening_moment::Evening| e.mean.get(*place).copied().unwrap_or(0.0);
        let median = crate::evening_gather::high_is_poor(all.sampled.iter().map(of)).median;
        let shown = crate::Load { demand: crate::Demand { mean: median, ..load.demand }, ..load.clone() };
        let mut figure = load_figure(&shown);
        figure.sources = vec![model()];
        figures.push(figure);
    }
    activities(hour, &mut figures);
    if let Some(line) = &hour.line {
        for (id, tier) in [("tier.down", line.suffices.down), ("tier.up", line.suffices.up)] {
            let figure = match tier {
                Some(rate) => Figure::known(id, line.line.clone(), rate.mbps(), "Mbit/s"),
                None => Figure::unknown(
                    id,
                    line.line.clone(),
                    "Mbit/s",
                    vec!["no usual service up to 10 Gbit/s meets the needs in nineteen evenings of twenty".to_owned()],
                ),
            };
            figures.push(figure.source(model()).source(limits_source()));
        }
    }
    for recording in &hour.recordings {
        let figure = match recording.keeps {
            Some(keeps) => Figure::known("recording.days", recording.device.clone(), keeps.0 / 86_400.0, "d"),
            None => Figure::unknown(
                "recording.days",
                recording.device.clone(),
                "d",
                vec!["the room that the camera's store has, or a stream that is not zero".to_owned()],
            ),
        };
        let figure = figure
            .input("octets a day", recording.octets_a_day, "octets")
            .input("usable share of the store", USABLE, "1")
            .input("reserve", RESERVE, "1");
        figures.push(figure.source(Source::common_practice()));
    }
    figures
}

/// A value that is poor in one evening of twenty, from it to the median.
fn spread(figure: Figure, spread: Spread, scale: f64) -> Figure {
    let (poor, median) = (spread.poor * scale, spread.median * scale);
    Figure { value: Some(poor), ..figure }.between(poor.min(median), poor.max(median), None)
}

fn activities(hour: &BusyHour, figures: &mut Vec<Figure>) {
    for activity in &hour.activities {
        let known = |id: &str, unit: &str| Figure::known(id, activity.id.clone(), 0.0, unit).source(model());
        for (id, rate, needs) in
            [("goodput.down", activity.down, activity.needs_down), ("goodput.up", activity.up, activity.needs_up)]
        {
            if let Some(rate) = rate {
                figures.push(spread(known(id, "Mbit/s").input("rate needed", needs.mbps(), "Mbit/s"), rate, 1e-6));
            }
        }
        if let Some(delay) = activity.delay {
            figures.push(spread(known("delay", "ms"), delay, 1e3));
        }
        if let Some(rating) = activity.rating {
            let figure =
                known("call-rating", "1").input("delay outside of the home's network", 1e3 * CALL_BEYOND, "ms");
            figures.push(spread(figure, rating, 1.0).source(Source::standard("ITU-T G.107 (06/2015)")));
        }
        if let Some(met) = activity.met {
            figures.push(Figure { value: Some(met), ..known("met", "1") });
        }
    }
}

fn headroom(all: &Gathered) -> Figure {
    let of = all.input.subject.clone();
    let Some((value, worst, median)) = all.headroom else {
        let missing = vec!["demand: no activity of a device with a link runs in the busy hour".to_owned()];
        return Figure::unknown("headroom", of, "1", missing).source(model());
    };
    let figure = Figure::known("headroom", of, value, "1").between(worst.min(value), median.max(value), None);
    let figure = match all.first.and_then(|n| all.loads.get(n)) {
        Some(load) => figure
            .input(format!("demand on the {}, 95th percentile", name(&load.resource)), load.demand.p95, "1")
            .input("share taken by neighbours and beacons", load.taken, "1")
            .input("limit", load.limit, "1"),
        None => figure,
    };
    figure.source(model()).source(limits_source())
}
