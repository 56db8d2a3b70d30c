// Cuts programs into tokens with the TextMate grammar, as an editor does, by the
// general tokeniser vscode-textmate: on stdin a JSON list of programs, on stdout
// for each a list of [line, start, end, innermost scope], in UTF-16 units.
// The folder of the modules is the one argument.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const require = createRequire(join(process.argv[2], 'here.js'));
const oniguruma = require('vscode-oniguruma');
const textmate = require('vscode-textmate');
const wasm = readFileSync(require.resolve('vscode-oniguruma/release/onig.wasm'));
await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));

const path = new URL('../../../lang/editors/vscode/syntaxes/wend.tmLanguage.json', import.meta.url);
const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async () => textmate.parseRawGrammar(readFileSync(path, 'utf8'), 'wend.json'),
});
const grammar = await registry.loadGrammar('source.wend');

const tokens = (program) => {
  const found = [];
  let stack = textmate.INITIAL;
  program.split(/\r\n|\r|\n/).forEach((line, number) => {
    const result = grammar.tokenizeLine(line, stack);
    stack = result.ruleStack;
    for (const t of result.tokens) found.push([number, t.startIndex, Math.min(t.endIndex, line.length), t.scopes.at(-1)]);
  });
  return found;
};
console.log(JSON.stringify(JSON.parse(readFileSync(0, 'utf8')).map(tokens)));
