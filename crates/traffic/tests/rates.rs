//! The published rates of activities, row by row.

use traffic::activity_rates;

/// Federal Communications Commission, consumer guide "Broadband Speed Guide": least rates towards the home [Mbit/s].
#[test]
fn every_row_of_the_guide() {
    let guide = [
        ("general browsing and e-mail", 1.0, 1.0),
        ("streaming online radio", 0.5, 0.5),
        ("voice calls", 0.5, 0.5),
        ("student", 5.0, 25.0),
        ("telecommuting", 5.0, 25.0),
        ("file downloading", 10.0, 10.0),
        ("social media", 1.0, 1.0),
        ("standard-definition video", 3.0, 4.0),
        ("high-definition video", 5.0, 8.0),
        ("ultra-high-definition video", 25.0, 25.0),
        ("personal video call", 1.0, 1.0),
        ("personal video call in high definition", 1.5, 1.5),
        ("teleconference in high definition", 6.0, 6.0),
        ("game console joining the internet", 3.0, 3.0),
        ("online multiplayer game", 4.0, 4.0),
    ];
    assert_eq!(activity_rates().len(), guide.len());
    for (name, low, high) in guide {
        let row = activity_rates().iter().find(|r| r.activity == name).unwrap_or_else(|| panic!("no {name}"));
        assert_eq!((row.low_mbps, row.high_mbps), (low, high), "{name}");
    }
}
