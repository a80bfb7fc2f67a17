//! The files of an embedded database: each test gets a copy of a migrated one, which starts twice as fast as an empty one.

use std::path::{Path, PathBuf};

use store::DatabaseSettings;
use tokio::sync::OnceCell;

use crate::database::migrations_digest;

/// A folder that goes when the test does.
#[derive(Debug)]
pub(crate) struct Folder(PathBuf);

impl Folder {
    /// A folder with nothing in it.
    pub(crate) fn empty() -> Self {
        let folder = std::env::temp_dir().join(format!("estimator-test-{}", uuid::Uuid::now_v7().simple()));
        std::fs::create_dir(&folder).expect("the folder for temporary files can be written");
        Self(folder)
    }

    /// A copy of a migrated database.
    pub(crate) async fn migrated() -> Self {
        static TEMPLATE: OnceCell<PathBuf> = OnceCell::const_new();
        let template = TEMPLATE.get_or_init(template).await;
        let folder = Self::empty();
        copy(template, &folder.0).expect("the migrated database can be copied");
        folder
    }

    pub(crate) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A test that failed may leave its database running; what is left then is the system's to clear.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The migrated database that all tests copy, made unless an earlier run of the same build has.
///
/// It lies beside the test program, where a clean build takes it away. Its name holds a digest of the migrations, and what
/// the database itself is: a template of another kind is never taken for it.
async fn template() -> PathBuf {
    let program = std::env::current_exe().expect("a running program has a file");
    let beside = program.parent().expect("a file lies in a folder");
    let template = beside.join(format!("embedded-template-{}-{EMBEDDED}", &migrations_digest()[..16]));
    if !template.exists() {
        let making = Folder(beside.join(format!("embedded-template-{}", uuid::Uuid::now_v7().simple())));
        // The socket of a database so deep in folders would have too long a name: it is made elsewhere and moved here.
        let fresh = Folder::empty();
        store::migrate(&DatabaseSettings::new(None, fresh.path()))
            .await
            .expect("an empty embedded database is migrated");
        copy(fresh.path(), making.path()).expect("it can be copied");
        // A twin may have been first: then its template stands, and this one goes.
        let _ = std::fs::rename(making.path(), &template);
    }
    template
}

/// The version of the embedded database, as it stands in this crate's dependencies.
const EMBEDDED: &str = "0.5.1";

/// Copies plain files and folders; a socket that was left behind is neither.
fn copy(from: &Path, to: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let kind = entry.file_type()?;
        let target = to.join(entry.file_name());
        if kind.is_dir() {
            copy(&entry.path(), &target)?;
        } else if kind.is_file() {
            std::fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}
