// How VS Code's own TextMate engine cuts texts into tokens with the grammar at the path given.
//
// Standard input: a list of texts, as JSON. Standard output: `scopes`, each list of scopes that occurs as one
// string, and `texts`, for each text its tokens as [start, end, number of its scopes], in UTF-16 units.
const fs = require("fs");
const { loadWASM, OnigScanner, OnigString } = require("vscode-oniguruma");
const { INITIAL, parseRawGrammar, Registry } = require("vscode-textmate");

async function main(path) {
  await loadWASM(fs.readFileSync(require.resolve("vscode-oniguruma/release/onig.wasm")));
  const registry = new Registry({
    onigLib: Promise.resolve({
      createOnigScanner: (patterns) => new OnigScanner(patterns),
      createOnigString: (text) => new OnigString(text),
    }),
    loadGrammar: async () => parseRawGrammar(fs.readFileSync(path, "utf8"), path),
  });
  const grammar = await registry.loadGrammar("source.lope");
  const scopes = new Map();
  const texts = JSON.parse(fs.readFileSync(0, "utf8")).map((text) => tokens(grammar, text, scopes));
  fs.writeFileSync(1, JSON.stringify({ scopes: [...scopes.keys()], texts }));
}

function tokens(grammar, text, scopes) {
  const found = [];
  let stack = INITIAL;
  let at = 0;
  // Lines end as they do in the editor; a piece between is its line break.
  for (const [number, line] of text.split(/(\r\n|\r|\n)/).entries()) {
    if (number % 2 === 0) {
      const tokenized = grammar.tokenizeLine(line, stack);
      stack = tokenized.ruleStack;
      for (const token of tokenized.tokens) {
        const name = token.scopes.join(" ");
        if (!scopes.has(name)) scopes.set(name, scopes.size);
        const end = Math.min(token.endIndex, line.length);
        if (token.startIndex < end) found.push([at + token.startIndex, at + end, scopes.get(name)]);
      }
    }
    at += line.length;
  }
  return found;
}

main(process.argv[2]);
