//! Who does the work in how many days.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::distribution::{Hours, mean_hours};
use super::tasks::{self, Work, WorkList};

/// People and days.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Crew {
    /// People who are sent; none if there is nothing to do.
    pub people: u32,
    /// Days on site, at the median; unknown if the crew cannot do the work.
    pub days: Option<u32>,
    /// Days on site that suffice in four jobs of five; unknown if the crew cannot do the work.
    pub days_p80: Option<u32>,
    /// Hours of work, of both people together, that two have to do together, at the median.
    pub hours_by_two: f64,
}

/// Most days that are counted; a longer job is not planned by this.
const MOST_DAYS: u32 = 1000;

/// Sends people and adds their travel, one visit a person and day, until the days suffice.
///
/// One person is enough where nothing needs two and the work fits into a day. The work of two counts twice, and no crew
/// is faster than the work that two do together lets it be.
pub(super) fn send(list: &mut WorkList, stated: u32, day_hours: f64) -> Crew {
    let before = Hours::of(&list.lines).p50;
    if before <= 0.0 {
        return Crew::default();
    }
    let by_two = by_two(&list.lines, before);
    let one_is_enough = by_two <= 0.0 && before + tasks::VISIT.minutes / 60.0 <= day_hours;
    let people = if one_is_enough { 1 } else { stated.max(1) };
    let able = people >= 2 || by_two <= 0.0;
    let site_hours = |total: f64| (total / f64::from(people)).max(by_two / 2.0);
    let with_visits = |list: &WorkList, days: u32| {
        let mut with = list.clone();
        visit(&mut with, people, days);
        with
    };
    let days = (1..=MOST_DAYS)
        .find(|days| site_hours(Hours::of(&with_visits(list, *days).lines).p50) <= f64::from(*days) * day_hours);
    *list = with_visits(list, days.unwrap_or(MOST_DAYS));
    let p80 = (site_hours(Hours::of(&list.lines).p80) / day_hours).ceil();
    let days_p80 = days.filter(|_| p80 <= f64::from(MOST_DAYS)).map(|days| days.max(p80 as u32));
    Crew { people, days: days.filter(|_| able), days_p80: days_p80.filter(|_| able), hours_by_two: by_two }
}

/// Adds the travel of people on days.
pub(super) fn visit(list: &mut WorkList, people: u32, days: u32) {
    list.add(tasks::VISIT, f64::from(people) * f64::from(days), equipment::Access::OpenWalls);
}

/// Share of the median total that two have to do together [h].
fn by_two(lines: &[Work], total: f64) -> f64 {
    let (mut two, mut all) = (0.0, 0.0);
    for work in lines {
        let mean = mean_hours(work);
        all += mean;
        if work.task.by_two {
            two += mean;
        }
    }
    if all > 0.0 { two / all * total } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use equipment::Access;

    use super::*;

    #[test]
    fn a_small_job_takes_one_person_a_day() {
        let mut list = WorkList::default();
        list.add(tasks::SET_UP_ROUTER, 1.0, Access::OpenWalls);
        let crew = send(&mut list, 2, 8.0);
        assert_eq!((crew.people, crew.days, crew.days_p80), (1, Some(1), Some(1)));
        let visits: f64 = list.lines.iter().filter(|w| w.task.name == tasks::VISIT.name).map(|w| w.quantity).sum();
        assert_eq!(visits, 1.0);
        assert_eq!(send(&mut WorkList::default(), 2, 8.0), Crew::default());
    }

    #[test]
    fn travel_is_paid_for_each_person_and_day() {
        let mut list = WorkList::default();
        // 30 h of outlets: more than a day for two. Each of them works 7 h a day beside the travel.
        list.add(tasks::OUTLET, 90.0, Access::OpenWalls);
        let crew = send(&mut list, 2, 8.0);
        assert_eq!((crew.people, crew.days), (2, Some(3)));
        let visits: f64 = list.lines.iter().filter(|w| w.task.name == tasks::VISIT.name).map(|w| w.quantity).sum();
        assert_eq!(visits, 6.0);
        assert!(crew.days_p80 > crew.days);
    }

    #[test]
    fn one_person_does_not_do_the_work_of_two() {
        let mut list = WorkList::default();
        list.add(tasks::PULL_METRE, 10.0, Access::OpenWalls);
        let crew = send(&mut list.clone(), 1, 8.0);
        assert_eq!((crew.people, crew.days), (1, None));
        assert!((crew.hours_by_two - 0.1).abs() < 1e-12);
        assert_eq!(send(&mut list, 2, 8.0).days, Some(1));
    }

    #[test]
    fn a_larger_crew_is_no_faster_than_the_work_of_two() {
        let days = |people| {
            let mut list = WorkList::default();
            list.add(tasks::PULL_METRE, 4000.0, Access::OpenWalls);
            send(&mut list, people, 8.0).days.unwrap()
        };
        // 40 h, 20 h each: three days for two, and for six no fewer than 20 h take.
        assert_eq!((days(2), days(6)), (3, 3));
    }
}
