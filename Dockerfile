# The service as an image: the `estimator` binary on a bare Debian, without the embedded database.
#   docker build -t estimator .
#   docker run -p 8080:8080 -e DATABASE_URL=postgres://… estimator
# Where no image registry is reached, .ci/base-images makes both base images from Debian's packages.
ARG BUILD_IMAGE=rust:1.95-bookworm
ARG RUN_IMAGE=debian:bookworm-slim

FROM ${BUILD_IMAGE} AS build
# So that stages left behind by earlier builds can be told from other people's images, and pruned.
LABEL stage=estimator-build
WORKDIR /build

# The dependencies first, against empty crates: this layer is used again until a manifest or the lock file changes.
# Benchmarks are named in their manifests, so an empty one has to stand for each.
COPY Cargo.toml Cargo.lock ./
COPY api/Cargo.toml api/
COPY service/wiring/Cargo.toml service/wiring/
COPY service/engine/Cargo.toml service/engine/
COPY service/store/Cargo.toml service/store/
COPY service/documents/Cargo.toml service/documents/
COPY tests/Cargo.toml tests/
RUN set -eu; \
    for crate in api service/wiring service/engine service/store service/documents tests; do \
        mkdir -p "$crate/src" "$crate/benches"; \
        : >"$crate/src/lib.rs"; \
        sed -n '/^\[\[bench\]\]/,/^name/s/^name *= *"\(.*\)"/\1/p' "$crate/Cargo.toml" \
            | while read -r bench; do : >"$crate/benches/$bench.rs"; done; \
    done; \
    echo 'fn main() {}' >api/src/main.rs; \
    cargo build --release --locked -p estimator --no-default-features --features mimalloc

# Cargo goes by times, and the sources may be older than the empty crates built above.
COPY . .
RUN find . -path ./target -prune -o -type f -exec touch {} + \
    && cargo build --release --locked -p estimator --no-default-features --features mimalloc

FROM ${RUN_IMAGE}
COPY --from=build /build/target/release/estimator /usr/local/bin/estimator
# A number, so that an orchestrator can see that it is not root. Nothing is written: a read-only root will do.
USER 10001:10001
ENV LISTEN=0.0.0.0:8080 \
    AUTH=keys \
    LOG_FORMAT=json
EXPOSE 8080
# The binary asks itself, so that the image needs no curl.
HEALTHCHECK --interval=10s --timeout=3s --start-period=20s --retries=3 CMD ["estimator", "health"]
ENTRYPOINT ["estimator"]
CMD ["serve"]
