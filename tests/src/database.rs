//! Chooses the database and gives each test its own.

use std::io::Write;
use std::path::Path;

use store::{DatabaseSettings, Store};
use tokio::sync::OnceCell;

use crate::container;
use crate::folder::Folder;
use crate::owner::Owner;
use crate::server::{Server, ServerDatabase};

/// What the tests' database is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The server that `TEST_DATABASE_URL` names.
    Given,
    /// A container of this test program.
    Container,
    /// The Postgres inside the process, one a test.
    Embedded,
}

impl Kind {
    /// Whether many connections at once are possible.
    #[must_use]
    pub fn is_server(self) -> bool {
        match self {
            Self::Given | Self::Container => true,
            Self::Embedded => false,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Given => "TEST_DATABASE_URL",
            Self::Container => "container",
            Self::Embedded => "embedded",
        }
    }
}

/// A database that belongs to one test and goes with it.
#[derive(Debug)]
pub struct TestDatabase {
    place: Place,
}

#[derive(Debug)]
enum Place {
    Server(Kind, ServerDatabase),
    Embedded(Folder),
}

impl TestDatabase {
    /// A database whose schema is up to date and which holds nothing.
    pub async fn create() -> Self {
        match chosen().await {
            Chosen::Server(kind, server) => Self { place: Place::Server(*kind, server.migrated_database().await) },
            Chosen::Embedded => Self { place: Place::Embedded(Folder::migrated().await) },
        }
    }

    /// An embedded database, whatever the others are: with roles of its own, which a test may change.
    pub async fn create_embedded() -> Self {
        Self { place: Place::Embedded(Folder::migrated().await) }
    }

    /// A database without any schema.
    pub async fn create_empty() -> Self {
        let place = match chosen().await {
            Chosen::Server(kind, server) => Place::Server(*kind, server.empty_database().await),
            Chosen::Embedded => Place::Embedded(Folder::empty()),
        };
        Self { place }
    }

    /// What kind of database it is.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match &self.place {
            Place::Server(kind, _) => *kind,
            Place::Embedded(_) => Kind::Embedded,
        }
    }

    /// What the service is to be told.
    #[must_use]
    pub fn settings(&self) -> DatabaseSettings {
        match &self.place {
            Place::Server(_, database) => DatabaseSettings::new(Some(database.url()), std::env::temp_dir()),
            Place::Embedded(folder) => DatabaseSettings::new(None, folder.path()),
        }
    }

    /// The store on this database. The embedded database can be opened once at a time.
    pub async fn open(&self) -> Store {
        Store::open(&self.settings()).await.expect("the test's own database opens")
    }

    /// A connection as the owner, whom the service's grants do not bind. On the embedded database the store must be closed.
    pub async fn owner(&self) -> Owner {
        match &self.place {
            Place::Server(_, database) => Owner::of_server(&database.url()).await,
            Place::Embedded(folder) => Owner::of_folder(folder.path()).await,
        }
    }
}

#[derive(Debug)]
enum Chosen {
    Server(Kind, Server),
    Embedded,
}

/// The choice, made once in a test program.
async fn chosen() -> &'static Chosen {
    static CHOSEN: OnceCell<Chosen> = OnceCell::const_new();
    CHOSEN
        .get_or_init(|| async {
            let (chosen, why) = choose().await;
            let kind = match &chosen {
                Chosen::Server(kind, _) => *kind,
                Chosen::Embedded => Kind::Embedded,
            };
            note(&format!("database: {} ({why})", kind.name()));
            chosen
        })
        .await
}

async fn choose() -> (Chosen, String) {
    match variable("TEST_DATABASE").as_deref() {
        None => {}
        Some("embedded") => return (Chosen::Embedded, "as TEST_DATABASE asks".to_owned()),
        Some("container") => {
            let server = container::start().await.expect("TEST_DATABASE asks for a container, which cannot be had");
            return (Chosen::Server(Kind::Container, server), "as TEST_DATABASE asks".to_owned());
        }
        Some(other) => panic!("TEST_DATABASE is {other:?}; it can be \"container\" or \"embedded\""),
    }
    if let Some(url) = variable("TEST_DATABASE_URL") {
        return (Chosen::Server(Kind::Given, Server::that_stays(url)), "the server that it names".to_owned());
    }
    match container::start().await {
        Ok(server) => (Chosen::Server(Kind::Container, server), container::image_name()),
        Err(reason) => (Chosen::Embedded, format!("no container: {reason:#}")),
    }
}

/// Says something in the test program's output, past the runner's capture, which would hide it in a run that succeeds.
pub fn note(text: &str) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// An environment variable that is set to something.
pub(crate) fn variable(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|value| !value.is_empty())
}

/// The names of the migrations, in their order.
#[must_use]
pub fn migrations() -> Vec<String> {
    let files = std::fs::read_dir(repository().join("migrations")).expect("the migrations lie in their folder");
    let stem = |file: std::fs::DirEntry| file.path().file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let mut names: Vec<String> = files.filter_map(|file| stem(file.expect("it is read"))).collect();
    let number =
        |name: &String| name.trim_start_matches('V').split('_').next().and_then(|digits| digits.parse::<u32>().ok());
    names.sort_by_key(number);
    names
}

/// A digest of the migrations: what a migrated template is recognised by.
pub(crate) fn migrations_digest() -> String {
    let folder = repository().join("migrations");
    let files = std::fs::read_dir(folder).expect("the migrations lie in their folder");
    let mut files: Vec<_> = files.map(|file| file.expect("it is read").path()).collect();
    files.sort();
    let contents: Vec<u8> = files.iter().flat_map(|file| std::fs::read(file).expect("a migration is read")).collect();
    store::Digest::of(&contents).to_string()
}

/// The top folder of the repository.
pub(crate) fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the tests lie one folder below the top")
}
