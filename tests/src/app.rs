//! The service over HTTP, in front of a test's own database.

use api::capacity::Capacity;
use api::{Auth, LogFormat, Running, Settings};
use reqwest::header::HeaderMap;
use reqwest::{Method, RequestBuilder, StatusCode};
use serde_json::Value;

use crate::TestDatabase;

/// A service that listens, its database, and somebody who calls it.
pub struct App {
    /// Its database; it goes with the app.
    pub database: TestDatabase,
    auth: Auth,
    capacity: Capacity,
    running: Option<Running>,
    client: reqwest::Client,
}

/// An answer, read to its end.
#[derive(Debug)]
pub struct Answer {
    /// The status.
    pub status: StatusCode,
    /// The headers.
    pub headers: HeaderMap,
    /// The body.
    pub bytes: Vec<u8>,
}

impl App {
    /// A service that lets everybody on this machine in.
    pub async fn open() -> Self {
        Self::on(TestDatabase::create().await, Auth::Open).await
    }

    /// A service on that database.
    pub async fn on(database: TestDatabase, auth: Auth) -> Self {
        Self::of_capacity(database, auth, Capacity::default()).await
    }

    /// A service on that database that takes on so much.
    pub async fn of_capacity(database: TestDatabase, auth: Auth, capacity: Capacity) -> Self {
        let mut app = Self { database, auth, capacity, running: None, client: client() };
        app.start().await;
        app
    }

    async fn start(&mut self) {
        let store = self.database.settings();
        let settings = Settings {
            listen: ([127, 0, 0, 1], 0).into(),
            auth: self.auth,
            database_url: store.database_url,
            data_dir: store.data_dir,
            log_format: LogFormat::Text,
            allow_unbound_role: false,
            capacity: self.capacity.clone(),
        };
        self.running = Some(api::start(settings).await.expect("the service starts on the test's database"));
    }

    /// The service that runs.
    ///
    /// # Panics
    /// After [`App::stop`].
    #[must_use]
    pub fn running(&self) -> &Running {
        self.running.as_ref().expect("the service runs")
    }

    /// Ends the service, and keeps the database.
    pub async fn stop(&mut self) {
        // A connection that is still open is given time to close.
        self.client = client();
        if let Some(running) = self.running.take() {
            running.stop().await;
        }
    }

    /// Ends the service and starts another on the same database.
    pub async fn restart(&mut self) {
        self.stop().await;
        self.start().await;
    }

    /// A request to that path.
    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        self.client.request(method, format!("http://{}{path}", self.running().addr))
    }

    /// Reads what is at that path.
    pub async fn get(&self, path: &str) -> Answer {
        Answer::to(self.request(Method::GET, path)).await
    }

    /// Sends a survey as JSON.
    pub async fn price(&self, survey: impl Into<reqwest::Body>) -> Answer {
        Answer::to(self.pricing(survey)).await
    }

    /// A request to price a survey, to be added to.
    pub fn pricing(&self, survey: impl Into<reqwest::Body>) -> RequestBuilder {
        self.request(Method::POST, "/v1/estimates").header("content-type", "application/json").body(survey)
    }
}

fn client() -> reqwest::Client {
    let client = reqwest::Client::builder().redirect(reqwest::redirect::Policy::none());
    client.build().expect("a client without TLS needs nothing of the system")
}

/// Ends the service with its test, so that one test program never runs fifty databases. Where the test has failed
/// already, what is left is the system's to clear.
impl Drop for App {
    fn drop(&mut self) {
        if let Some(running) = self.running.take()
            && !std::thread::panicking()
        {
            // Needs a test with `flavor = "multi_thread"`: the others have no thread to spare for waiting.
            self.client = client();
            tokio::task::block_in_place(|| tokio::runtime::Handle::current().block_on(running.stop()));
        }
    }
}

impl Answer {
    /// The answer to a request.
    ///
    /// # Panics
    /// Where none comes: the service always answers.
    pub async fn to(request: RequestBuilder) -> Self {
        let response = request.send().await.expect("the service answers");
        let (status, headers) = (response.status(), response.headers().clone());
        let bytes = response.bytes().await.expect("the answer is whole").to_vec();
        Self { status, headers, bytes }
    }

    /// A header as text; empty where it is not there.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default()
    }

    /// The body as JSON.
    ///
    /// # Panics
    /// Where it is not JSON.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|error| panic!("{error} in {}", String::from_utf8_lossy(&self.bytes)))
    }

    /// The body as a problem document of that status and type.
    ///
    /// # Panics
    /// Where it is none.
    #[must_use]
    #[track_caller]
    pub fn problem(&self, status: u16, slug: &str) -> Value {
        let body = String::from_utf8_lossy(&self.bytes);
        assert_eq!(self.status.as_u16(), status, "{body}");
        assert_eq!(self.header("content-type"), "application/problem+json", "{body}");
        let problem = self.json();
        assert_eq!(problem["type"], format!("/problems#{slug}"), "{body}");
        assert_eq!(problem["status"], status, "{body}");
        assert!(problem["title"].is_string() && problem["detail"].is_string(), "{body}");
        assert_eq!(problem["instance"], format!("urn:request:{}", self.header("x-request-id")), "{body}");
        problem
    }

    /// The pointers of a refusal, in order.
    ///
    /// # Panics
    /// Where the answer is no refusal of a request that was read.
    #[must_use]
    #[track_caller]
    pub fn pointers(&self) -> Vec<String> {
        let problem = self.problem(422, "invalid");
        let errors = problem["errors"].as_array().cloned().unwrap_or_default();
        errors.iter().filter_map(|error| error["pointer"].as_str()).map(str::to_owned).collect()
    }
}
