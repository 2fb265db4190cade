//! Routes that describe themselves: one registration makes the router's route and its entry in the OpenAPI document.
//!
//! What a handler takes and answers is read off its types, so that the document cannot say anything else than the code
//! does. The types' schemas are those that they derive for the job document (JSON Schema 2020-12, which is what OpenAPI
//! 3.1 uses).

mod schemas;

use std::convert::Infallible;
use std::future::Future;

use axum::Router;
use axum::extract::State;
use axum::handler::Handler;
use axum::http::{Method, StatusCode};
use axum::routing::{MethodFilter, MethodRouter, on};
use schemars::JsonSchema;
use serde_json::{Map, Value, json};

use crate::problem::{self, Kind, Problem};
use crate::state::Shared;
use schemas::Schemas;

/// An operation of the document in the making.
pub struct Operation<'a> {
    schemas: &'a mut Schemas,
    parameters: Vec<Value>,
    body: Option<Value>,
    responses: Map<String, Value>,
}

impl Operation<'_> {
    /// Adds a parameter in the path.
    pub fn path_parameter(&mut self, name: &str, description: &str, schema: Value) {
        self.parameters.push(json!({
            "name": name, "in": "path", "required": true, "description": description, "schema": schema,
        }));
    }

    /// Adds every field of a type as a parameter in the query.
    pub fn query<T: JsonSchema>(&mut self) {
        self.parameters.extend(self.schemas.fields::<T>().into_iter().map(|field| {
            json!({
                "name": field.name, "in": "query", "required": field.is_required,
                "description": field.description, "schema": field.schema,
            })
        }));
    }

    /// Says that the body is a JSON value of a type.
    pub fn json_body<T: JsonSchema>(&mut self) {
        let schema = self.schemas.input::<T>();
        self.body(&[("application/json", schema)]);
    }

    /// Says what the body is, by media type.
    pub fn body(&mut self, content: &[(&str, Value)]) {
        let content: Map<String, Value> =
            content.iter().map(|(media, schema)| ((*media).to_owned(), json!({ "schema": schema }))).collect();
        self.body = Some(json!({ "required": true, "content": content }));
    }

    /// Adds an answer that is a JSON value of a type.
    pub fn answers<T: JsonSchema>(&mut self, status: StatusCode, description: &str) {
        let schema = self.schemas.output::<T>();
        self.answers_content(status, description, "application/json", schema);
    }

    /// Adds an answer.
    pub fn answers_content(&mut self, status: StatusCode, description: &str, media: &str, schema: Value) {
        let answer = json!({ "description": description, "content": { media: { "schema": schema } } });
        self.responses.insert(status.as_str().to_owned(), answer);
    }

    /// Adds an answer without a body.
    pub fn answers_nothing(&mut self, status: StatusCode, description: &str) {
        self.responses.insert(status.as_str().to_owned(), json!({ "description": description }));
    }

    /// Adds a refusal.
    pub fn refuses(&mut self, kind: Kind) {
        let schema = self.schemas.output::<Problem>();
        self.answers_content(kind.0, kind.title(), problem::MEDIA_TYPE, schema);
    }
}

/// Something that a handler takes.
pub trait Input {
    /// Adds it to the description.
    fn describe(operation: &mut Operation<'_>);
}

/// What a handler answers when all goes well.
pub trait Output {
    /// Adds it to the description.
    fn describe(operation: &mut Operation<'_>);
}

impl Input for State<Shared> {
    fn describe(_: &mut Operation<'_>) {}
}

/// A handler whose types describe it.
pub trait Described<Taken> {
    /// Adds what it takes and answers.
    fn describe(operation: &mut Operation<'_>);
}

macro_rules! described {
    ($($taken:ident),*) => {
        impl<F, R, A, $($taken),*> Described<($($taken,)*)> for F
        where
            F: Fn($($taken),*) -> R,
            R: Future<Output = Result<A, Problem>>,
            A: Output,
            $($taken: Input,)*
        {
            fn describe(operation: &mut Operation<'_>) {
                $($taken::describe(operation);)*
                A::describe(operation);
            }
        }
    };
}

described!();
described!(T1);
described!(T1, T2);
described!(T1, T2, T3);
described!(T1, T2, T3, T4);

/// What is said of a route beside its types.
pub struct Says {
    /// Its name for generated clients.
    pub id: &'static str,
    /// The subject that it is listed under.
    pub tag: &'static str,
    /// What it does, in one sentence.
    pub summary: &'static str,
    /// Refusals that its types do not tell of.
    pub refuses: &'static [Kind],
}

/// The routes and the document, growing together.
pub struct Api {
    router: Router<Shared>,
    paths: Map<String, Value>,
    schemas: Schemas,
}

impl Api {
    /// No routes yet.
    pub fn new() -> Self {
        Self { router: Router::new(), paths: Map::new(), schemas: Schemas::new() }
    }

    /// A route that reads. It never changes what is stored.
    pub fn get<H, T, D>(self, path: &str, says: Says, handler: H) -> Self
    where
        H: Handler<T, Shared> + Described<D>,
        T: 'static,
    {
        self.add::<H, D>(&Method::GET, path, says, on(MethodFilter::GET, handler))
    }

    /// A route that changes what is stored, or computes something that is not stored.
    pub fn post<H, T, D>(self, path: &str, says: Says, handler: H) -> Self
    where
        H: Handler<T, Shared> + Described<D>,
        T: 'static,
    {
        self.add::<H, D>(&Method::POST, path, says, on(MethodFilter::POST, handler))
    }

    /// As [`Self::post`], with a longer limit of the body [bytes].
    pub fn post_large<H, T, D>(self, path: &str, says: Says, limit: usize, handler: H) -> Self
    where
        H: Handler<T, Shared> + Described<D>,
        T: 'static,
    {
        let route = on(MethodFilter::POST, handler)
            .layer::<_, Infallible>(axum::extract::DefaultBodyLimit::max(limit))
            .layer::<_, Infallible>(axum::Extension(crate::guard::BodyLimit(limit)));
        self.add::<H, D>(&Method::POST, path, says, route)
    }

    fn add<H: Described<D>, D>(mut self, method: &Method, path: &str, says: Says, route: MethodRouter<Shared>) -> Self {
        let mut operation =
            Operation { schemas: &mut self.schemas, parameters: Vec::new(), body: None, responses: Map::new() };
        H::describe(&mut operation);
        // What any request can be answered, by the layers around all routes.
        let around = [problem::MISDIRECTED, problem::INTERNAL].into_iter();
        let around = around.chain((method != Method::GET).then_some(problem::FOREIGN));
        around.chain(says.refuses.iter().copied()).for_each(|kind| operation.refuses(kind));
        let Operation { parameters, body, responses, .. } = operation;
        let mut entry = json!({
            "operationId": says.id, "tags": [says.tag], "summary": says.summary, "responses": responses,
        });
        if let Value::Object(entry) = &mut entry {
            if !parameters.is_empty() {
                entry.insert("parameters".to_owned(), Value::Array(parameters));
            }
            if let Some(body) = body {
                entry.insert("requestBody".to_owned(), body);
            }
        }
        let item = self.paths.entry(path.to_owned()).or_insert_with(|| json!({}));
        if let Value::Object(item) = item {
            item.insert(method.as_str().to_lowercase(), entry);
        }
        self.router = self.router.route(path, route);
        self
    }

    /// Puts a type into the document that no route's types name, such as a message of the WebSocket.
    pub fn also<In: JsonSchema, Out: JsonSchema>(mut self) -> Self {
        self.schemas.input::<In>();
        self.schemas.output::<Out>();
        self
    }

    /// The routes, and the document.
    pub fn finish(self) -> (Router<Shared>, Value) {
        let (components, renamed) = self.schemas.finish();
        let mut document = json!({
            "openapi": "3.1.1",
            "info": {
                "title": "Wallplate",
                "version": env!("CARGO_PKG_VERSION"),
                "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
                "description": DESCRIPTION,
            },
            "servers": [{ "url": "/" }],
            "paths": self.paths,
            "components": { "schemas": components },
        });
        schemas::settle(&mut document, &renamed);
        (self.router, document)
    }
}

const DESCRIPTION: &str = "The interface between Wallplate and its page, on this machine only. SI units. What is unknown is null. \
     A refusal is `application/problem+json` (RFC 9457). GET changes nothing. A changing request needs an `Origin` of \
     this server, or none and no `Sec-Fetch-Site` of another; its `Host` must be this server's.";
