//! Builds the parser that editors use from the C in the repository.

fn main() {
    let source = std::path::Path::new("../grammar/tree-sitter/src");
    for file in ["parser.c", "scanner.c"] {
        println!("cargo::rerun-if-changed={}", source.join(file).display());
    }
    let files = ["parser.c", "scanner.c"].map(|file| source.join(file));
    cc::Build::new().std("c11").include(source).files(files).compile("tree-sitter-lope");
}
