// Which ends of lines end a statement. The innermost bracket decides, and the
// grammar knows it: inside round and square brackets, a record and a text it
// never asks for one. What remains to be seen is what follows: before the { of a
// block, `else` and a leading .name an end of line does not count.

#include <stdbool.h>
#include <string.h>

#include "tree_sitter/parser.h"

enum { LINE_END };

void *tree_sitter_wend_external_scanner_create(void) { return NULL; }
void tree_sitter_wend_external_scanner_destroy(void *payload) { (void)payload; }
unsigned tree_sitter_wend_external_scanner_serialize(void *payload, char *buffer) {
  (void)payload, (void)buffer;
  return 0;
}
void tree_sitter_wend_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  (void)payload, (void)buffer, (void)length;
}

static bool is_line_end(int32_t c) { return c == '\n' || c == '\r'; }

// may_go_on_name reports whether a character can stand in a name. Beyond ASCII
// nearly every character that stands in a program can.
static bool may_go_on_name(int32_t c) {
  return c == '_' || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c >= 0x80;
}

static bool may_begin_name(int32_t c) { return may_go_on_name(c) && !(c >= '0' && c <= '9'); }

static void skip_gaps(TSLexer *lexer) {
  for (;;) {
    if (lexer->lookahead == ' ' || lexer->lookahead == '\t' || is_line_end(lexer->lookahead)) {
      lexer->advance(lexer, false);
    } else if (lexer->lookahead == '#') {
      while (!lexer->eof(lexer) && !is_line_end(lexer->lookahead)) lexer->advance(lexer, false);
    } else {
      return;
    }
  }
}

// goes_on reports whether what stands here belongs to the statement above.
static bool goes_on(TSLexer *lexer) {
  if (lexer->lookahead == '{') return true;
  if (lexer->lookahead == '.') {
    lexer->advance(lexer, false);
    return may_begin_name(lexer->lookahead);
  }
  for (const char *rest = "else"; *rest; rest++) {
    if (lexer->lookahead != *rest) return false;
    lexer->advance(lexer, false);
  }
  return !may_go_on_name(lexer->lookahead);
}

bool tree_sitter_wend_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  (void)payload;
  if (!valid[LINE_END]) return false;
  while (lexer->lookahead == ' ' || lexer->lookahead == '\t') lexer->advance(lexer, true);
  if (!is_line_end(lexer->lookahead)) return false;
  lexer->advance(lexer, false);
  lexer->mark_end(lexer);
  skip_gaps(lexer);
  if (goes_on(lexer)) return false;
  lexer->result_symbol = LINE_END;
  return true;
}
