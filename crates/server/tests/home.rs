//! What is drawn and computed: the house, plans, assessments, maps and points.

mod common;

use common::{Page, file};
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon, unary_union};
use serde_json::{Value, json};

fn ring(points: &Value) -> LineString<f64> {
    let point = |p: &Value| Coord { x: p[0].as_f64().unwrap(), y: p[1].as_f64().unwrap() };
    points.as_array().unwrap().iter().map(point).collect()
}

fn polygon(points: &Value) -> Polygon<f64> {
    Polygon::new(ring(points), Vec::new())
}

/// The walls of every storey of a home leave its rooms free and close them in: what is within the outer walls is room,
/// wall or opening, and nothing is left over.
async fn check_walls(page: &Page, id: &str) {
    let house = page.get(&format!("/api/jobs/{id}/house")).await.good(200);
    for storey in house["storeys"].as_array().unwrap() {
        let rooms = storey["rooms"].as_array().unwrap();
        let walls = storey["walls"].as_array().unwrap();
        let solids: Vec<Polygon<f64>> =
            walls.iter().flat_map(|w| w["solids"].as_array().unwrap()).map(polygon).collect();
        if rooms.is_empty() || solids.is_empty() {
            continue;
        }
        let openings: Vec<Polygon<f64>> = storey["openings"].as_array().unwrap().iter().map(filled).collect();
        let drawn: MultiPolygon<f64> = unary_union(solids.iter().chain(&openings));
        let name = format!("{} / {}", house["name"], storey["name"]);
        for room in rooms {
            let outline = polygon(&room["outline"]);
            let within = MultiPolygon::new(vec![outline]).intersection(&drawn).unsigned_area();
            assert!(
                within < 0.002 * room["area_m2"].as_f64().unwrap() + 0.01,
                "{name}: {} has {within} m² of wall in it",
                room["name"]
            );
        }
        // Hairlines between walls would be enclosed faces of next to no width.
        let slits: usize = drawn.0.iter().flat_map(|p| p.interiors()).filter(|hole| is_slit(hole)).count();
        assert_eq!(slits, 0, "{name} has slits between its walls");
    }
}

/// The opening as if it were wall.
fn filled(opening: &Value) -> Polygon<f64> {
    let (a, b) = (opening["from"].clone(), opening["to"].clone());
    let (ax, ay, bx, by) =
        (a[0].as_f64().unwrap(), a[1].as_f64().unwrap(), b[0].as_f64().unwrap(), b[1].as_f64().unwrap());
    let length = (bx - ax).hypot(by - ay);
    let half = opening["thickness_m"].as_f64().unwrap() / 2.0;
    let (nx, ny) = (-(by - ay) / length * half, (bx - ax) / length * half);
    let corner = |x: f64, y: f64, k: f64| Coord { x: x + k * nx, y: y + k * ny };
    let ring = vec![corner(ax, ay, -1.0), corner(bx, by, -1.0), corner(bx, by, 1.0), corner(ax, ay, 1.0)];
    Polygon::new(LineString::from(ring), Vec::new())
}

fn is_slit(hole: &LineString<f64>) -> bool {
    let area = Polygon::new(hole.clone(), Vec::new()).unsigned_area();
    let around: f64 = hole.lines().map(|l| (l.end.x - l.start.x).hypot(l.end.y - l.start.y)).sum();
    // Twice the area over the length around is about the width; a micron is what rounding leaves.
    let width = 2.0 * area / around;
    (1e-6..0.02).contains(&width)
}

#[tokio::test]
async fn walls_leave_rooms_free_and_close_without_slits() {
    let page = Page::new().await;
    for demo in ["cottage", "two-storey", "two-storey-basement"] {
        let id = page.upload(&String::from_utf8(file(&format!("demo/{demo}/job.toml"))).unwrap()).await;
        check_walls(&page, &id).await;
    }
    for demo in page.get("/api/demos").await.good(200)["demos"].as_array().unwrap() {
        let opened = page.post(&format!("/api/demos/{}", demo["id"].as_str().unwrap()), json!({})).await.good(201);
        check_walls(&page, opened["id"].as_str().unwrap()).await;
    }
}

#[tokio::test]
async fn the_house_is_drawn_as_the_job_has_it() {
    let page = Page::new().await;
    let id = page.job().await;
    let job = job::parse(&common::two_storey(), job::Encoding::Toml).unwrap();
    let house = page.get(&format!("/api/jobs/{id}/house")).await.good(200);
    assert_eq!((&house["revision"], &house["units"]), (&json!(1), &json!("feet-inches")));
    let all = |of: &str| -> Vec<Value> {
        house["storeys"].as_array().unwrap().iter().flat_map(|s| s[of].as_array().unwrap().clone()).collect()
    };
    assert_eq!(all("walls").len(), job.building.walls.len());
    assert_eq!(all("openings").len(), job.building.openings.len());
    assert_eq!(all("outlets").len(), job.building.outlets.len());
    assert_eq!(all("rooms").len(), job.building.rooms.len());
    for opening in all("openings") {
        let given = job.building.openings.iter().find(|o| o.id.as_str() == opening["id"]).unwrap();
        let (a, b) =
            (ring(&json!([opening["from"], opening["to"]])).0[0], ring(&json!([opening["from"], opening["to"]])).0[1]);
        assert!(((b.x - a.x).hypot(b.y - a.y) - given.width.0).abs() < 1e-9, "{opening}");
        assert!((opening["sill_m"].as_f64().unwrap() - given.sill.0).abs() < 1e-9, "{opening}");
    }
    let (min, max) = (&house["bounds"]["min"], &house["bounds"]["max"]);
    for wall in all("walls") {
        for point in wall["solids"].as_array().unwrap().iter().flat_map(|s| s.as_array().unwrap()) {
            for axis in 0..2 {
                let value = point[axis].as_f64().unwrap();
                assert!(min[axis].as_f64().unwrap() <= value && value <= max[axis].as_f64().unwrap());
            }
        }
    }
    assert!(all("rooms").iter().any(|r| r["target"]["down_bps"].as_f64().is_some_and(|rate| rate >= 1e6)));
}

#[tokio::test]
async fn a_plan_and_what_follows_from_it() {
    let page = Page::new().await;
    let opened = page.post("/api/demos/studio", json!({})).await.good(201);
    let at = |tail: &str| format!("/api/jobs/{}/{tail}", opened["id"].as_str().unwrap());
    let plan = page.get(&at("plan")).await.good(200);
    assert_eq!(plan["revision"], 1);
    assert_eq!(page.get(&at("plan")).await.good(200), plan, "the plan is kept");
    // What the job's notes tell stands in the plan, as the program prints it.
    let notes = page.get(&at("")[..at("").len() - 1]).await.good(200)["document"]["notes"].as_array().unwrap().clone();
    let assumptions = plan["plan"]["assumptions"].as_array().unwrap();
    assert!(!notes.is_empty() && notes.iter().all(|note| assumptions.contains(note)), "{assumptions:?}");
    let option = &plan["plan"]["options"][0];
    let design = option["id"].as_str().unwrap();
    let assessed = page.get(&at(&format!("assessment?design={design}"))).await.good(200);
    assert_eq!(&assessed["option"], option);
    page.get(&at("assessment?design=nothing")).await.refused(404, &["nothing"]);

    let house = page.get(&at("house")).await.good(200);
    let storey = house["storeys"][0]["id"].as_str().unwrap();
    let map = page.get(&at(&format!("map?design={design}&storey={storey}&band=5&quantity=level"))).await.good(200);
    assert_eq!((&map["revision"], &map["band"], &map["unit"]), (&json!(1), &json!("5"), &json!("dBm")));
    let (rows, columns) = (map["rows"].as_u64().unwrap(), map["columns"].as_u64().unwrap());
    for list in ["values", "margin_db", "room"] {
        assert_eq!(map[list].as_array().unwrap().len() as u64, rows * columns, "{list}");
    }
    let any = page.get(&at(&format!("map?design={design}&storey={storey}"))).await.good(200);
    assert_eq!((&any["band"], &any["quantity"]), (&json!("any"), &json!("level")));
    page.get(&at(&format!("map?design={design}&storey=cellar"))).await.refused(404, &["cellar"]);

    // The cells of the map and the point in the middle of one say the same.
    let values = map["values"].as_array().unwrap();
    let cell = values.iter().position(|v| !v.is_null()).unwrap() as u64;
    let size = map["cell"].as_f64().unwrap();
    let centre = |axis: usize, n: u64| map["origin"][axis].as_f64().unwrap() + (n as f64 + 0.5) * size;
    let (x, y) = (centre(0, cell % columns), centre(1, cell / columns));
    let probe = page.get(&at(&format!("probe?design={design}&storey={storey}&x={x}&y={y}&band=5"))).await.good(200);
    let level = probe["value"]["level_dbm"].as_f64().unwrap();
    assert!((level - values[cell as usize].as_f64().unwrap()).abs() < 0.02, "{probe}");
    let legs: f64 = probe["legs"].as_array().unwrap().iter().map(|leg| leg["value"].as_f64().unwrap()).sum();
    assert!((legs - level).abs() < 1e-6, "the legs add up: {probe}");
}

#[tokio::test]
async fn a_kept_design_is_assessed_and_an_edit_makes_all_anew() {
    let page = Page::new().await;
    let opened = page.post("/api/demos/studio", json!({})).await.good(201);
    let at = |tail: &str| format!("/api/jobs/{}/{tail}", opened["id"].as_str().unwrap());
    let plan = page.get(&at("plan")).await.good(200);
    let mut design = plan["plan"]["options"][0]["design"].clone();
    design["id"] = json!("kept-1");
    let keep = json!({ "base_revision": 1, "label": "Keep", "edits": [{ "kind": "insert", "path": "designs", "value": design }] });
    page.post(&at("edits"), keep).await.good(200);
    let assessed = page.get(&at("assessment?design=kept-1")).await.good(200);
    assert_eq!(assessed["revision"], 2);
    let price = |figures: &Value| figures.as_array().unwrap().iter().find(|f| f["id"] == "coverage").cloned();
    let (kept, option) = (price(&assessed["option"]["figures"]), price(&plan["plan"]["options"][0]["figures"]));
    assert_eq!(kept.unwrap()["value"], option.unwrap()["value"]);
    assert_eq!(page.get(&at("plan")).await.good(200)["revision"], 2);
    assert_eq!(page.get(&at("house")).await.good(200)["revision"], 2);
}

#[tokio::test]
async fn many_who_ask_at_once_get_the_same() {
    let page = Page::new().await;
    let opened = page.post("/api/demos/studio", json!({})).await.good(201);
    let path = format!("/api/jobs/{}/plan", opened["id"].as_str().unwrap());
    let asked = futures_util::future::join_all((0..8).map(|_| page.get(&path))).await;
    assert!(asked.iter().all(|a| a.bytes == asked[0].bytes && a.status == 200));
}
