//! The pages that people read are whole without the internet.

use end_to_end::App;

#[tokio::test(flavor = "multi_thread")]
async fn the_documents_page_loads_nothing_from_elsewhere() {
    let app = App::open().await;
    let asked = app.get("/docs").await;
    assert_eq!((asked.status.as_u16(), asked.header("location")), (308, "/docs/"));

    let page = String::from_utf8(app.get("/docs/").await.bytes).expect("text");

    assert!(page.contains("<title>Rewire estimating</title>"), "{page}");
    let quoted = |attribute: &str| -> Vec<String> {
        page.split(&format!("{attribute}=\""))
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .map(str::to_owned)
            .collect()
    };
    let assets = [quoted("href"), quoted("src")].concat();
    assert!(assets.len() >= 4, "{page}");
    for asset in assets {
        assert!(!asset.contains("//"), "{asset} is elsewhere");
        let found = app.get(&format!("/docs/{}", asset.trim_start_matches("./"))).await;
        assert_eq!(found.status, 200, "{asset}");
        assert!(!found.bytes.is_empty(), "{asset}");
    }
    let start = String::from_utf8(app.get("/docs/swagger-initializer.js").await.bytes).expect("text");
    assert!(start.contains("/openapi.json"), "{start}");
    // The browser itself refuses whatever a script might want to load from elsewhere.
    assert!(app.get("/docs/").await.header("content-security-policy").starts_with("default-src 'self'"));
    let _ = app.get("/docs/nothing.js").await.problem(404, "not-found");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_words_of_the_trade_are_explained_on_a_page_that_the_contract_names() {
    let app = App::open().await;

    let page = app.get("/docs/glossary").await;

    assert_eq!((page.status.as_u16(), page.header("content-type")), (200, "text/html; charset=utf-8"));
    assert!(page.header("content-security-policy").starts_with("default-src 'self'"));
    let page = String::from_utf8(page.bytes).expect("text");
    assert!(page.contains("<dt id=\"rcbo\"><dfn>RCBO</dfn></dt>"), "{page}");
    let terms = api::glossary::terms();
    assert!(terms.len() >= 50 && page.matches("<dt ").count() == terms.len(), "{} words", terms.len());
    for term in terms {
        assert!(page.contains(&format!("<dt id=\"{}\">", term.anchor())), "{}", term.term);
    }
    let contract = app.get("/openapi.json").await.json();
    assert!(contract["info"]["description"].as_str().is_some_and(|text| text.contains("(/docs/glossary)")));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_type_of_a_problem_leads_to_its_explanation() {
    let app = App::open().await;
    let kind = app.get("/v1/nothing").await.json()["type"].as_str().expect("a type").to_owned();
    let (path, anchor) = kind.split_once('#').expect("an anchor");

    let page = app.get(path).await;

    assert_eq!((page.status.as_u16(), page.header("content-type")), (200, "text/html; charset=utf-8"));
    assert!(String::from_utf8(page.bytes).expect("text").contains(&format!("id=\"{anchor}\"")));
}
