//! Small models written by hand: a file with one storey and helpers that add walls, openings and rooms to it.
#![allow(dead_code, reason = "each test file uses its part of the helpers")]

use building::Wall;
use findings::NoProgress;
use ifc::{Import, ImportError, Options, read};

/// Length units of the fixtures, with the instances that state them; the first is `#1`.
pub const METRE: &str = "#1=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);";
pub const MILLIMETRE: &str = "#1=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);";
pub const FOOT: &str = "#2=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);\n#3=IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0);\n\
    #4=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(0.3048),#2);\n#1=IFCCONVERSIONBASEDUNIT(#3,.LENGTHUNIT.,'FOOT',#4);";

/// A model being written. Lengths are in its own unit.
pub struct Model {
    schema: &'static str,
    pub text: String,
    next: usize,
    contained: Vec<usize>,
    spaces: Vec<usize>,
}

/// The storey's instance and its placement.
pub const STOREY: usize = 10;
pub const STOREY_PLACE: usize = 11;

impl Model {
    pub fn new(schema: &'static str, unit: &str) -> Self {
        let text = format!(
            "{unit}\n#5=IFCUNITASSIGNMENT((#1));\n#6=IFCPROJECT('project',$,'p',$,$,$,$,$,#5);\n\
             #12=IFCCARTESIANPOINT((0.,0.,0.));\n#13=IFCAXIS2PLACEMENT3D(#12,$,$);\n#{STOREY_PLACE}=IFCLOCALPLACEMENT($,#13);\n\
             #{STOREY}=IFCBUILDINGSTOREY('storey',$,'Ground',$,$,#{STOREY_PLACE},$,$,.ELEMENT.,0.);\n"
        );
        Self { schema, text, next: 100, contained: Vec::new(), spaces: Vec::new() }
    }

    /// Adds an instance and gives its number.
    pub fn add(&mut self, entity: impl AsRef<str>) -> usize {
        self.next += 1;
        self.text.push_str(&format!("#{}={};\n", self.next, entity.as_ref()));
        self.next
    }

    pub fn point(&mut self, p: &[f64]) -> usize {
        let list: Vec<String> = p.iter().map(|c| format!("{c:?}")).collect();
        self.add(format!("IFCCARTESIANPOINT(({}))", list.join(",")))
    }

    pub fn direction(&mut self, d: &[f64]) -> usize {
        let list: Vec<String> = d.iter().map(|c| format!("{c:?}")).collect();
        self.add(format!("IFCDIRECTION(({}))", list.join(",")))
    }

    pub fn polyline(&mut self, points: &[[f64; 2]]) -> usize {
        let ids: Vec<String> = points.iter().map(|p| format!("#{}", self.point(p))).collect();
        self.add(format!("IFCPOLYLINE(({}))", ids.join(",")))
    }

    /// A local placement at a point, turned by degrees about the upright.
    pub fn place(&mut self, at: [f64; 3], degrees: f64) -> usize {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (p, z, x) = (self.point(&at), self.direction(&[0., 0., 1.]), self.direction(&[cos, sin, 0.]));
        let axes = self.add(format!("IFCAXIS2PLACEMENT3D(#{p},#{z},#{x})"));
        self.add(format!("IFCLOCALPLACEMENT(#{STOREY_PLACE},#{axes})"))
    }

    /// A polygon moved up by a height.
    pub fn prism(&mut self, points: &[[f64; 2]], height: f64) -> usize {
        let closed: Vec<[f64; 2]> = points.iter().chain(points.first()).copied().collect();
        let line = self.polyline(&closed);
        let profile = self.add(format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{line})"));
        let up = self.direction(&[0., 0., 1.]);
        self.add(format!("IFCEXTRUDEDAREASOLID(#{profile},#13,#{up},{height:?})"))
    }

    pub fn representation(&mut self, identifier: &str, item: usize) -> usize {
        self.add(format!("IFCSHAPEREPRESENTATION($,'{identifier}','',(#{item}))"))
    }

    /// A product of a keyword with representations; `tail` are its attributes after the representation.
    pub fn product(&mut self, keyword: &str, name: &str, place: usize, representations: &[usize], tail: &str) -> usize {
        let list: Vec<String> = representations.iter().map(|r| format!("#{r}")).collect();
        let shape = if list.is_empty() {
            "$".to_owned()
        } else {
            format!("#{}", self.add(format!("IFCPRODUCTDEFINITIONSHAPE($,$,({}))", list.join(","))))
        };
        let guid = format!("{name}-{}", self.next + 1);
        self.add(format!("{keyword}('{guid}',$,'{name}',$,$,#{place},{shape}{tail})"))
    }

    /// Puts an element into the storey.
    pub fn contain(&mut self, element: usize) {
        self.contained.push(element);
    }

    /// Gives an element material layers from a reference line, in the file's order.
    pub fn layers(&mut self, element: usize, layers: &[(&str, f64)], axis: &str, sense: &str, offset: f64) {
        let mut ids = Vec::new();
        for (name, thickness) in layers {
            let material = self.add(format!("IFCMATERIAL('{name}')"));
            ids.push(format!("#{}", self.add(format!("IFCMATERIALLAYER(#{material},{thickness:?},$)"))));
        }
        let set = self.add(format!("IFCMATERIALLAYERSET(({}),'set')", ids.join(",")));
        let usage = self.add(format!("IFCMATERIALLAYERSETUSAGE(#{set},.{axis}.,.{sense}.,{offset:?})"));
        self.add(format!("IFCRELASSOCIATESMATERIAL('m{element}',$,$,$,(#{element}),#{usage})"));
    }

    /// A straight wall from one end of its centre line, with a body and one layer of brick.
    pub fn wall(&mut self, from: [f64; 2], degrees: f64, length: f64, thickness: f64, height: f64) -> usize {
        let place = self.place([from[0], from[1], 0.], degrees);
        let h = thickness / 2.;
        let body = self.prism(&[[0., -h], [length, -h], [length, h], [0., h]], height);
        let axis = self.polyline(&[[0., 0.], [length, 0.]]);
        let shapes = [self.representation("Axis", axis), self.representation("Body", body)];
        let wall = self.product("IFCWALLSTANDARDCASE", "wall", place, &shapes, ",$");
        self.layers(wall, &[("Brick", thickness)], "AXIS2", "POSITIVE", -h);
        self.contain(wall);
        wall
    }

    /// Four walls around a rectangle of centre lines; their instances from the lower one anticlockwise.
    pub fn box_of_walls(&mut self, low: [f64; 2], high: [f64; 2], thickness: f64, height: f64) -> [usize; 4] {
        let (w, d) = (high[0] - low[0], high[1] - low[1]);
        [
            self.wall(low, 0., w, thickness, height),
            self.wall([high[0], low[1]], 90., d, thickness, height),
            self.wall(high, 180., w, thickness, height),
            self.wall([low[0], high[1]], 270., d, thickness, height),
        ]
    }

    /// A space over a rectangle.
    pub fn space(&mut self, name: &str, long_name: &str, low: [f64; 2], high: [f64; 2], height: f64) -> usize {
        let body = self.prism(&[low, [high[0], low[1]], high, [low[0], high[1]]], height);
        let shape = self.representation("Body", body);
        let place = self.place([0., 0., 0.], 0.);
        let tail = format!(",'{long_name}',.ELEMENT.,.INTERNAL.,$");
        let space = self.product("IFCSPACE", name, place, &[shape], &tail);
        self.spaces.push(space);
        space
    }

    /// An opening in a wall, given in the storey's coordinates, filled by a keyword or by nothing.
    pub fn opening(&mut self, wall: usize, low: [f64; 3], high: [f64; 3], filler: Option<&str>) -> usize {
        let body =
            self.prism(&[[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]], high[2] - low[2]);
        let shape = self.representation("Body", body);
        let place = self.place([0., 0., low[2]], 0.);
        let opening = self.product("IFCOPENINGELEMENT", "opening", place, &[shape], ",$");
        self.add(format!("IFCRELVOIDSELEMENT('v{opening}',$,$,$,#{wall},#{opening})"));
        if let Some(keyword) = filler {
            let door = self.product(keyword, "leaf", place, &[], ",$,2.,1.");
            self.add(format!("IFCRELFILLSELEMENT('f{opening}',$,$,$,#{opening},#{door})"));
        }
        opening
    }

    /// The whole file.
    pub fn finish(&self) -> String {
        let list = |ids: &[usize]| ids.iter().map(|i| format!("#{i}")).collect::<Vec<_>>().join(",");
        let mut data = self.text.clone();
        if !self.contained.is_empty() {
            data.push_str(&format!(
                "#90=IFCRELCONTAINEDINSPATIALSTRUCTURE('c',$,$,$,({}),#{STOREY});\n",
                list(&self.contained)
            ));
        }
        if !self.spaces.is_empty() {
            data.push_str(&format!("#91=IFCRELAGGREGATES('a',$,$,$,#{STOREY},({}));\n", list(&self.spaces)));
        }
        file(self.schema, &data)
    }

    pub fn read(&self) -> Result<Import, ImportError> {
        self.read_with(&Options::default())
    }

    pub fn read_with(&self, options: &Options) -> Result<Import, ImportError> {
        read(self.finish().as_bytes(), None, options, &NoProgress)
    }
}

/// A file around some data.
pub fn file(schema: &str, data: &str) -> String {
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','2000-01-01T00:00:00',(''),(''),'','','');\n\
         FILE_SCHEMA(('{schema}'));\nENDSEC;\nDATA;\n{data}ENDSEC;\nEND-ISO-10303-21;\n"
    )
}

/// A cottage of one room: centre lines 6 m × 4 m, walls 0.3 m thick and 2.5 m high, a door and a window.
/// `k` is the number of the file's units in a metre.
pub fn cottage(schema: &'static str, unit: &str, k: f64) -> Model {
    let mut m = Model::new(schema, unit);
    let walls = m.box_of_walls([0., 0.], [6. * k, 4. * k], 0.3 * k, 2.5 * k);
    m.space("1", "Living room", [0.15 * k, 0.15 * k], [5.85 * k, 3.85 * k], 2.5 * k);
    m.opening(walls[0], [1. * k, -0.2 * k, 0.], [1.9 * k, 0.2 * k, 2.1 * k], Some("IFCDOOR"));
    m.opening(walls[2], [3. * k, 3.8 * k, 0.9 * k], [4.2 * k, 4.2 * k, 2.1 * k], Some("IFCWINDOW"));
    m
}

pub fn length(w: &Wall) -> f64 {
    w.from.distance(w.to)
}

pub fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}
