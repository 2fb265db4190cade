//! What can be typed after `wallplate`. No work is done here.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use units::Date;

/// Computes network designs for homes: a home goes in, ranked designs with computed reasons come out.
#[derive(Debug, Parser)]
#[command(
    name = "wallplate",
    version,
    max_term_width = 100,
    after_help = "Exit codes: 0 nothing to report, 1 there are findings (a limit or a target is not met), 2 it could not run.\n\n\
                  Example:\n  wallplate import house.ifc --electrical sockets.ifc -o house.toml\n  wallplate plan house.toml"
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Print JSON instead of text.
    #[arg(long, global = true)]
    pub json: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Read an architect's model (IFC2x3 or IFC4) into a job document.
    #[command(
        after_help = "Example:\n  wallplate import house.ifc --electrical sockets.ifc --dwelling A -o house.toml"
    )]
    Import(Import),
    /// Make a job of a home without a model, from eight answers.
    #[command(
        after_help = "What is not given is asked on a terminal; with --yes, --answers or without a terminal the shown defaults hold.\n\n\
                      Example:\n  wallplate new -o home.toml\n  \
                      wallplate new --floor-area '95 m²' --storeys 2 --attached terraced --yes -o home.toml"
    )]
    New(Box<New>),
    /// List everything that is wrong with a job.
    #[command(
        after_help = "Exit codes: 0 nothing stands in the way, 1 there are risks to look at, 2 the job cannot be computed on.\n\n\
                      Example:\n  wallplate check house.toml"
    )]
    Check(Check),
    /// Search for designs and rank them, each with its reasons.
    #[command(after_help = "Example:\n  wallplate plan house.toml --families gateway,poe-ceiling --top 3")]
    Plan(Plan),
    /// Compute every figure and finding of one design.
    #[command(
        after_help = "Without --design and --option, the first design of the job is assessed; a job without designs is assessed\n\
                      with the provider's box alone at the demarcation point.\n\n\
                      Example:\n  wallplate assess house.toml\n  wallplate assess house.toml --option 3f2a9c10"
    )]
    Assess(Assess),
    /// Show what is in a job.
    #[command(after_help = "Example:\n  wallplate show house.toml rooms")]
    Show(Show),
    /// Print the JSON Schema of the job document.
    #[command(after_help = "Example:\n  wallplate schema > job.schema.json")]
    Schema,
    /// List every rule that designs are held against, with its limit and source.
    #[command(after_help = "Example:\n  wallplate rules --subject wlan")]
    Rules(Rules),
    /// Show jobs in a browser, from a server on this machine that nobody else can reach.
    #[command(after_help = "Example:\n  wallplate serve --demo studio")]
    Serve(Serve),
    /// Print the description of the server's interface, OpenAPI 3.1.
    #[command(name = "openapi", after_help = "Example:\n  wallplate openapi > openapi.json")]
    OpenApi,
    /// Print a script that completes commands in a shell.
    #[command(
        after_help = "Example:\n  wallplate completions bash > ~/.local/share/bash-completion/completions/wallplate"
    )]
    Completions(Completions),
}

/// What `import` takes.
#[derive(Debug, Args)]
pub struct Import {
    /// The model of the building, an .ifc file.
    pub file: PathBuf,
    /// A second model with sockets and appliances, an .ifc file.
    #[arg(long, value_name = "FILE")]
    pub electrical: Option<PathBuf>,
    /// The dwelling to take, where the model holds several; the names are listed if this one is not found.
    #[arg(long, value_name = "NAME")]
    pub dwelling: Option<String>,
    /// The job to write: .toml or .json.
    #[arg(short, long, value_name = "JOB")]
    pub output: PathBuf,
    /// Write over the job if it exists.
    #[arg(long)]
    pub force: bool,
    /// Write the job even if its home cannot be computed on, so that it can be mended by hand.
    #[arg(long)]
    pub keep_invalid: bool,
    /// Country of the home, two letters of ISO 3166-1; it decides radio rules, currency and units.
    #[arg(long, value_name = "CODE", default_value = "US")]
    pub country: String,
    /// Date that the job speaks of, for rules and prices; today if absent.
    #[arg(long, value_name = "DATE")]
    pub date: Option<Date>,
}

/// What `new` takes. Answers are read in one place, as text, so that flags and typed answers are understood alike.
#[derive(Debug, Args)]
pub struct New {
    /// The job to write: .toml or .json.
    #[arg(short, long, value_name = "JOB")]
    pub output: PathBuf,
    /// Write over the job if it exists.
    #[arg(long)]
    pub force: bool,
    /// Ask nothing: take the defaults for what is not given.
    #[arg(long)]
    pub yes: bool,
    /// Answers as JSON, a file or - for standard input; flags go before them.
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Name of the job; no person's.
    #[arg(long)]
    pub name: Option<String>,
    /// Country, two letters of ISO 3166-1; it decides radio rules, currency and units.
    #[arg(long, value_name = "CODE")]
    pub country: Option<String>,
    /// Floor area of the living storeys together, such as 95, '95 m²' or '1000 ft²'.
    #[arg(long, value_name = "AREA", allow_negative_numbers = true)]
    pub floor_area: Option<String>,
    /// Living storeys.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub storeys: Option<String>,
    /// Basement under the home: yes or no.
    #[arg(long, value_name = "YES", num_args = 0..=1, require_equals = true, default_missing_value = "yes")]
    pub basement: Option<String>,
    /// Attic that cables can run in: yes or no.
    #[arg(long, value_name = "YES", num_args = 0..=1, require_equals = true, default_missing_value = "yes")]
    pub attic: Option<String>,
    /// What it is built of: timber-frame, masonry-cavity, masonry-solid or concrete.
    #[arg(long, value_name = "WHAT")]
    pub construction: Option<String>,
    /// Joined to what: detached, semi-detached, terraced or flat.
    #[arg(long, value_name = "HOW")]
    pub attached: Option<String>,
    /// Bedrooms.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub bedrooms: Option<String>,
    /// Bathrooms and shower rooms.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub bathrooms: Option<String>,
    /// Offices; one adult works at a distance in each.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub offices: Option<String>,
    /// Utility room: yes or no.
    #[arg(long, value_name = "YES", num_args = 0..=1, require_equals = true, default_missing_value = "yes")]
    pub utility: Option<String>,
    /// Kitchen and living room in one: yes or no.
    #[arg(long, value_name = "YES", num_args = 0..=1, require_equals = true, default_missing_value = "yes")]
    pub open_kitchen: Option<String>,
    /// People who live there.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub people: Option<String>,
    /// Whether walls and floors may be drilled for cables: yes or no.
    #[arg(long, value_name = "YES", num_args = 0..=1, require_equals = true, default_missing_value = "yes")]
    pub may_drill: Option<String>,
    /// The line: its kind, and its rates down and up in Mbit/s, such as 'fibre 500/100'.
    #[arg(long, value_name = "LINE")]
    pub line: Option<String>,
    /// Another seed gives another home for the same answers.
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub seed: Option<String>,
    /// Date that the job speaks of, for rules and prices; today if absent.
    #[arg(long, value_name = "DATE")]
    pub date: Option<Date>,
}

/// What `check` takes.
#[derive(Debug, Args)]
pub struct Check {
    /// The job: .toml or .json, or - for standard input.
    pub job: PathBuf,
}

/// What `plan` takes.
#[derive(Debug, Args)]
pub struct Plan {
    /// The job: .toml or .json, or - for standard input.
    pub job: PathBuf,
    /// Only these families, separated by commas.
    #[arg(long, value_name = "FAMILIES", value_delimiter = ',', value_parser = family)]
    pub families: Vec<network::Family>,
    /// Show only the best so many options.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub top: Option<u16>,
}

/// What `assess` takes.
#[derive(Debug, Args)]
pub struct Assess {
    /// The job: .toml or .json, or - for standard input.
    pub job: PathBuf,
    /// The design of the job to assess, by its id.
    #[arg(long, value_name = "ID")]
    pub design: Option<String>,
    /// The option of `plan` to assess, by its id or the first letters of it; the plan is computed again.
    #[arg(long, value_name = "HASH", conflicts_with = "design")]
    pub option: Option<String>,
}

/// What `show` takes.
#[derive(Debug, Args)]
pub struct Show {
    /// The job: .toml or .json, or - for standard input.
    pub job: PathBuf,
    /// What to show.
    #[arg(value_enum, default_value_t = Section::Overview)]
    pub section: Section,
}

/// What `show` can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Section {
    /// Everything in brief.
    Overview,
    /// Storeys.
    Storeys,
    /// Rooms with areas.
    Rooms,
    /// Walls with lengths and assemblies.
    Walls,
    /// Doors, windows and gaps.
    Openings,
    /// Floors, ceilings and roofs.
    Slabs,
    /// Outlets with their rooms, and the demarcation point.
    Outlets,
    /// Large fixed things.
    Objects,
    /// Assemblies with their layers.
    Assemblies,
    /// Materials with their constants.
    Materials,
    /// People, devices, activities and targets.
    Household,
    /// Lines, mains and radio surroundings.
    Site,
    /// Parts that designs can use.
    Equipment,
    /// Designs that were kept.
    Designs,
    /// How the job came about.
    Notes,
}

/// What `rules` takes.
#[derive(Debug, Args)]
pub struct Rules {
    /// Only the rules of one subject, such as `building` or `wlan`.
    #[arg(long, value_name = "SUBJECT")]
    pub subject: Option<String>,
}

/// What `serve` takes.
#[derive(Debug, Args)]
pub struct Serve {
    /// The port; 4780 or the next free one if absent.
    #[arg(long, value_name = "N")]
    pub port: Option<u16>,
    /// The folder that the jobs are kept in; the folder for data of programs of your account if absent.
    #[arg(long, value_name = "FOLDER")]
    pub data: Option<PathBuf>,
    /// Put this demo home among the jobs, once, and say where it is.
    #[arg(long, value_name = "ID")]
    pub demo: Option<String>,
    /// The address to listen at, of this machine alone.
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1")]
    pub address: std::net::IpAddr,
}

/// What `completions` takes.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell.
    pub shell: Shell,
}

fn family(text: &str) -> Result<network::Family, String> {
    let text = text.trim();
    network::Family::ALL.into_iter().find(|f| f.name() == text).ok_or_else(|| {
        let names: Vec<_> = network::Family::ALL.iter().map(|f| f.name()).collect();
        format!("no such family; the families are {}", names.join(", "))
    })
}
