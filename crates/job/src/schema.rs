//! The JSON Schema of the job document.

use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

use crate::{FORMAT, Job};

/// The JSON Schema, draft 2020-12, of the job document in either encoding.
///
/// It shows the form: keys, which are needed, kinds and words of values. Quantities are numbers in their base unit or
/// texts with a unit; what stands in such a text, and what references mean, only [`parse`](crate::parse()) and
/// `validate` know.
#[must_use]
pub fn schema() -> Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Job>().to_value();
    if let Value::Object(map) = &mut schema {
        map.insert("$id".into(), json!(format!("urn:{}", FORMAT.replace('/', ":job:"))));
        map.insert("title".into(), json!(format!("Job document, format {FORMAT}")));
    }
    if let Some(Value::Object(format)) = schema.pointer_mut("/properties/format") {
        format.insert("const".into(), json!(FORMAT));
    }
    schema
}
