//! Schemas of types for the OpenAPI document: what is read and what is written, each exactly.
//!
//! A type that is both read and written can have two schemas: a field that may be left out of what is read is always in
//! what is written, and a quantity is read as a number or a text with a unit but written as a number. What is written
//! has the type's own name; what is read has it with `Input` behind it where the two differ.

use std::collections::{BTreeMap, BTreeSet};

use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// Where components are in the document.
const COMPONENTS: &str = "#/components/schemas/";
/// Where those that are read are, until it is known which of them differ.
const INPUTS: &str = "#/components/inputs/";

/// Schemas of the types named so far.
pub struct Schemas {
    outputs: SchemaGenerator,
    inputs: SchemaGenerator,
}

/// A field of a type that is a query.
pub struct Field {
    /// Its name.
    pub name: String,
    /// Whether it must be given.
    pub is_required: bool,
    /// What it means.
    pub description: Value,
    /// What it may be.
    pub schema: Value,
}

impl Schemas {
    pub fn new() -> Self {
        let settings = |place: &str| {
            let place = place.trim_start_matches('#').trim_end_matches('/').to_owned();
            SchemaSettings::draft2020_12().with(|s| {
                s.definitions_path = place.into();
                s.meta_schema = None;
            })
        };
        Self {
            outputs: settings(COMPONENTS).for_serialize().into_generator(),
            inputs: settings(INPUTS).for_deserialize().into_generator(),
        }
    }

    /// The schema of a type as it is written.
    pub fn output<T: JsonSchema>(&mut self) -> Value {
        self.outputs.subschema_for::<T>().to_value()
    }

    /// The schema of a type as it is read.
    pub fn input<T: JsonSchema>(&mut self) -> Value {
        self.inputs.subschema_for::<T>().to_value()
    }

    /// The fields of a type as they are read from a query.
    pub fn fields<T: JsonSchema>(&mut self) -> Vec<Field> {
        let schema = T::json_schema(&mut self.inputs).to_value();
        let required: BTreeSet<&str> = schema
            .get("required")
            .and_then(Value::as_array)
            .map(|names| names.iter().filter_map(Value::as_str).collect())
            .unwrap_or_default();
        let Some(Value::Object(fields)) = schema.get("properties") else { return Vec::new() };
        let field = |(name, schema): (&String, &Value)| {
            let mut schema = schema.clone();
            let description = take(&mut schema, "description").unwrap_or_else(|| json!(""));
            Field {
                name: name.clone(),
                is_required: required.contains(name.as_str()),
                description,
                schema: without_null(schema),
            }
        };
        fields.iter().map(field).collect()
    }

    /// All components, and for each place of an input the place where it is now.
    pub fn finish(mut self) -> (Map<String, Value>, BTreeMap<String, String>) {
        let mut outputs = self.outputs.take_definitions(true);
        outputs.values_mut().for_each(numbers_only);
        let mut inputs = self.inputs.take_definitions(true);
        let mut components = Map::new();
        let mut renamed = BTreeMap::new();
        let differing = differing(&outputs, &inputs);
        components.append(&mut outputs);
        for (name, schema) in std::mem::take(&mut inputs) {
            let new = if differing.contains(&name) { format!("{name}Input") } else { name.clone() };
            renamed.insert(format!("{INPUTS}{name}"), format!("{COMPONENTS}{new}"));
            components.entry(new).or_insert(schema);
        }
        name_variants(&mut components);
        (components, renamed)
    }
}

/// Puts every reference to an input to where the input is now.
pub fn settle(value: &mut Value, renamed: &BTreeMap<String, String>) {
    match value {
        Value::Object(map) => {
            if let Some(Value::String(place)) = map.get_mut("$ref")
                && let Some(new) = renamed.get(place.as_str())
            {
                place.clone_from(new);
            }
            map.values_mut().for_each(|v| settle(v, renamed));
        }
        Value::Array(list) => list.iter_mut().for_each(|v| settle(v, renamed)),
        _ => {}
    }
}

/// The inputs whose schema, or that of anything that they refer to, is not the output's.
fn differing(outputs: &Map<String, Value>, inputs: &Map<String, Value>) -> BTreeSet<String> {
    let as_output = |schema: &Value| {
        let places = inputs.keys().map(|name| (format!("{INPUTS}{name}"), format!("{COMPONENTS}{name}"))).collect();
        let mut schema = schema.clone();
        settle(&mut schema, &places);
        schema
    };
    let mut differing: BTreeSet<String> = inputs
        .iter()
        .filter(|(name, schema)| outputs.get(*name).is_some_and(|output| output != &as_output(schema)))
        .map(|(name, _)| name.clone())
        .collect();
    loop {
        let more: Vec<String> = inputs
            .iter()
            .filter(|(name, _)| outputs.contains_key(*name) && !differing.contains(*name))
            .filter(|(_, schema)| references(schema).iter().any(|r| differing.contains(r)))
            .map(|(name, _)| name.clone())
            .collect();
        if more.is_empty() {
            return differing;
        }
        differing.extend(more);
    }
}

/// Names of the inputs that a schema refers to.
fn references(schema: &Value) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut left = vec![schema];
    while let Some(value) = left.pop() {
        match value {
            Value::Object(map) => {
                let place = map.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix(INPUTS));
                found.extend(place.map(str::to_owned));
                left.extend(map.values());
            }
            Value::Array(list) => left.extend(list),
            _ => {}
        }
    }
    found
}

fn take(schema: &mut Value, key: &str) -> Option<Value> {
    schema.as_object_mut().and_then(|map| map.remove(key))
}

/// A quantity may be read as a number or a text, but it is written as a number.
fn numbers_only(schema: &mut Value) {
    if schema.get("anyOf") == Some(&json!([{ "type": "number" }, { "type": "string" }]))
        && let Value::Object(map) = schema
    {
        map.remove("anyOf");
        map.insert("type".to_owned(), json!("number"));
    }
}

/// In a query nothing is said by leaving the field out, never by a null.
fn without_null(mut schema: Value) -> Value {
    if let Value::Object(map) = &mut schema {
        map.remove("default");
        if let Some(Value::Array(types)) = map.get_mut("type") {
            types.retain(|t| t != "null");
            if let [one] = types.as_slice() {
                let one = one.clone();
                map.insert("type".to_owned(), one);
            }
        }
        if let Some(Value::Array(choices)) = map.get_mut("anyOf") {
            choices.retain(|choice| choice.get("type") != Some(&json!("null")));
            if let [one] = choices.as_slice() {
                return one.clone();
            }
        }
    }
    schema
}

/// Gives the variants of tagged unions names of their own, so that the tag can be declared as what tells them apart.
fn name_variants(components: &mut Map<String, Value>) {
    let unions: Vec<(String, String)> =
        components.iter().filter_map(|(name, schema)| Some((name.clone(), tag(schema)?))).collect();
    for (name, tag) in unions {
        let Some(Value::Array(variants)) = components.get_mut(&name).and_then(|s| s.get_mut("oneOf")) else { continue };
        let mut named = Vec::new();
        let mut mapping = Map::new();
        for variant in variants {
            let Some(word) = constant(variant, &tag) else { continue };
            let own: String = word.split('-').map(capital).collect();
            let own = format!("{name}{own}");
            let place = format!("{COMPONENTS}{own}");
            mapping.insert(word, json!(place));
            named.push((own, std::mem::replace(variant, json!({ "$ref": place }))));
        }
        if let Some(Value::Object(union)) = components.get_mut(&name) {
            union.insert("discriminator".to_owned(), json!({ "propertyName": tag, "mapping": mapping }));
        }
        components.extend(named);
    }
}

/// The field whose constant tells the variants of a union apart, if they are objects with such a field.
fn tag(schema: &Value) -> Option<String> {
    let variants = schema.get("oneOf")?.as_array()?;
    let fields = variants.first()?.get("properties")?.as_object()?;
    fields.keys().find(|field| variants.iter().all(|v| constant(v, field).is_some())).cloned()
}

fn constant(variant: &Value, field: &str) -> Option<String> {
    Some(variant.get("properties")?.get(field)?.get("const")?.as_str()?.to_owned())
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
