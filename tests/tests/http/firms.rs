//! With keys, each caller is one firm and sees nothing of another.

use api::Auth;
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;

use crate::given::MINIMAL;

struct TwoFirms {
    app: App,
    alder: String,
    birch: String,
}

/// Two invented firms, each with a key.
async fn two_firms() -> TwoFirms {
    let database = TestDatabase::create().await;
    let store = database.open().await;
    let mut keys = Vec::new();
    for firm in ["Alder", "Birch"] {
        api::firms::make_ready(&store, firm).await.expect("the firm is made");
        keys.push(store.create_key(firm, "test").await.expect("a key is made").reveal().to_owned());
    }
    store.close().await;
    let app = App::on(database, Auth::Keys).await;
    let (birch, alder) = (keys.remove(1), keys.remove(0));
    TwoFirms { app, alder, birch }
}

impl TwoFirms {
    async fn get(&self, key: &str, path: &str) -> Answer {
        Answer::to(self.app.request(Method::GET, path).bearer_auth(key)).await
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn another_firms_estimate_is_not_found_and_ones_own_is() {
    let given = two_firms().await;

    let priced = Answer::to(given.app.pricing(MINIMAL).bearer_auth(&given.alder)).await;

    assert_eq!(priced.status, 201);
    let path = priced.header("location");
    assert!(given.get(&given.alder, path).await.bytes == priced.bytes);
    let strange = given.get(&given.birch, path).await.problem(404, "not-found");
    let nothing =
        given.get(&given.birch, "/v1/estimates/01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d").await.problem(404, "not-found");
    assert_eq!(strange["detail"], nothing["detail"], "the answers must not tell them apart");
    let drawing = format!("{path}/drawings/single-line-diagram");
    assert_eq!(given.get(&given.alder, &drawing).await.status, 200);
    let _ = given.get(&given.birch, &drawing).await.problem(404, "not-found");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_firms_may_use_the_same_idempotency_key() {
    let given = two_firms().await;
    let send = |key: &str| Answer::to(given.app.pricing(MINIMAL).bearer_auth(key).header("idempotency-key", "1"));

    let (alder, birch) = (send(&given.alder).await, send(&given.birch).await);

    assert_eq!((alder.status.as_u16(), birch.status.as_u16()), (201, 201));
    assert_eq!(birch.header("idempotent-replayed"), "");
    assert_ne!(alder.header("location"), birch.header("location"));
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_known_key_nobody_gets_under_v1_but_health_and_documents_are_open() {
    let given = two_firms().await;
    let document = given.app.get("/openapi.json").await.json();

    for path in document["paths"].as_object().expect("paths").keys().filter(|path| path.starts_with("/v1")) {
        let path = path
            .replace("{id}", "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d")
            .replace("{name}", "standard")
            .replace("{version}", "1");
        let method = if document["paths"].get(&path).is_some_and(|path| path.get("post").is_some()) {
            Method::POST
        } else {
            Method::GET
        };
        let request = || given.app.request(method.clone(), &path).header("content-type", "application/json");

        let nobody = Answer::to(request()).await;
        let _ = nobody.problem(401, "unauthenticated");
        assert!(nobody.header("www-authenticate").starts_with("Bearer realm="), "{path}");

        for strange in ["est_0000", "", "Ä", &given.alder.replace('a', "b")] {
            let stranger = Answer::to(request().header("authorization", format!("Bearer {strange}"))).await;
            let _ = stranger.problem(401, "unauthenticated");
        }
        let _ = Answer::to(request().header("authorization", format!("Basic {}", given.alder)))
            .await
            .problem(401, "unauthenticated");
    }
    for path in ["/health/live", "/health/ready", "/openapi.json", "/docs/", "/problems"] {
        // A busy machine may be not ready for a moment; nobody is asked for a key.
        assert_ne!(given.app.get(path).await.status, 401, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_firm_can_price_at_once() {
    let given = two_firms().await;

    let sheets = given.get(&given.birch, "/v1/rate-sheets").await.json();

    assert_eq!(sheets["items"][0]["name"], "standard");
}

#[tokio::test(flavor = "multi_thread")]
async fn without_keys_a_page_under_a_strange_name_is_not_answered() {
    let app = App::open().await;

    let rebound = Answer::to(app.request(Method::GET, "/v1/rate-sheets").header("host", "estimates.example")).await;

    let _ = rebound.problem(421, "misdirected-request");
}
