// What the notation decides by lines: fields and headings, which start where a line starts and end where it
// ends; and where the next tune of a file starts.

#include "tree_sitter/alloc.h"
#include "tree_sitter/parser.h"

// In the order of `externals` in grammar.js.
enum Token {
  FILE_START,
  NEXT_TUNE,
  FIELD_NAME,
  FIELD_TEXT,
  PART_WORD,
  PHRASE_WORD,
  ENDING_WORD,
  MELODY_WORD,
  NAME,
  TIMES,
  PASSES,
  HEADING_SLIP,
  CALL,
};

// Whether a `tune` field was seen: the next one starts a new tune.
typedef struct {
  char titled;
} Scanner;

static void skip(TSLexer *lexer) { lexer->advance(lexer, true); }
static void take(TSLexer *lexer) { lexer->advance(lexer, false); }

static bool is_blank(int32_t c) { return c == ' ' || c == '\t'; }
static bool is_letter(int32_t c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
static bool is_digit(int32_t c) { return c >= '0' && c <= '9'; }

static bool ends_line(TSLexer *lexer) {
  return lexer->eof(lexer) || lexer->lookahead == '\n' || lexer->lookahead == '\r';
}

// Whether a name cannot hold `c`.
static bool is_reserved(int32_t c) {
  for (const char *reserved = "|{}[]\"<>@#%"; *reserved; reserved++) {
    if (c == *reserved) return true;
  }
  return false;
}

static bool found(TSLexer *lexer, enum Token token) {
  lexer->result_symbol = token;
  return true;
}

// The text of a field, from its first to its last letter; a `#` after a blank starts a comment.
static bool field_text(TSLexer *lexer) {
  bool after_blank = false;
  while (!ends_line(lexer) && !(after_blank && lexer->lookahead == '#')) {
    after_blank = is_blank(lexer->lookahead);
    take(lexer);
    if (!after_blank) lexer->mark_end(lexer);
  }
  return found(lexer, FIELD_TEXT);
}

// A word of a heading: its name where it may still have one, `x2`, `1,2`, or a slip.
static bool heading_word(TSLexer *lexer, bool may_be_name) {
  // A name does not start with a colon: `part :A` is a field.
  bool name = lexer->lookahead != ':', times = lexer->lookahead == 'x', passes = is_digit(lexer->lookahead);
  int length = 0;
  for (; !ends_line(lexer) && !is_blank(lexer->lookahead); length++) {
    int32_t c = lexer->lookahead;
    name = name && !is_reserved(c);
    times = times && (length == 0 || is_digit(c));
    passes = passes && (is_digit(c) || c == ',');
    take(lexer);
  }
  lexer->mark_end(lexer);
  if (name && may_be_name) return found(lexer, NAME);
  if (times && length > 1) return found(lexer, TIMES);
  if (passes) return found(lexer, PASSES);
  return found(lexer, HEADING_SLIP);
}

// The longest word that starts a line and means something there.
enum { LONGEST_WORD = 6 };

static bool is_word(const char *word, int length, const char *wanted) {
  int at = 0;
  while (at < length && word[at] == wanted[at] && wanted[at]) at++;
  return at == length && !wanted[at];
}

// The name of a field or the word of a heading, at the start of a line.
static bool line_word(Scanner *scanner, TSLexer *lexer) {
  char word[LONGEST_WORD];
  int length = 0;
  bool digits = false;
  while (is_letter(lexer->lookahead) || is_digit(lexer->lookahead) || lexer->lookahead == '-' ||
         lexer->lookahead == '_') {
    if (length < LONGEST_WORD) word[length] = (char)lexer->lookahead;
    length++;
    // `t2:1` is a note.
    digits = digits || is_digit(lexer->lookahead);
    take(lexer);
  }
  lexer->mark_end(lexer);
  bool ends = ends_line(lexer) || is_blank(lexer->lookahead) || lexer->lookahead == '#';
  while (is_blank(lexer->lookahead)) take(lexer);
  if (!digits && lexer->lookahead == ':') {
    bool title = is_word(word, length, "tune"), next = title && scanner->titled;
    scanner->titled = scanner->titled || title;
    return found(lexer, next ? NEXT_TUNE : FIELD_NAME);
  }
  if (!ends || length > LONGEST_WORD) return false;
  if (is_word(word, length, "part")) return found(lexer, PART_WORD);
  if (is_word(word, length, "phrase")) return found(lexer, PHRASE_WORD);
  if (is_word(word, length, "ending")) return found(lexer, ENDING_WORD);
  if (is_word(word, length, "melody")) return found(lexer, MELODY_WORD);
  return false;
}

// An `@` that a name follows.
static bool call(TSLexer *lexer) {
  take(lexer);
  lexer->mark_end(lexer);
  if (ends_line(lexer) || is_blank(lexer->lookahead) || is_reserved(lexer->lookahead)) return false;
  return found(lexer, CALL);
}

void *tree_sitter_lope_external_scanner_create(void) { return ts_calloc(1, sizeof(Scanner)); }
void tree_sitter_lope_external_scanner_destroy(void *payload) { ts_free(payload); }

unsigned tree_sitter_lope_external_scanner_serialize(void *payload, char *buffer) {
  buffer[0] = ((Scanner *)payload)->titled;
  return 1;
}

void tree_sitter_lope_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  ((Scanner *)payload)->titled = length > 0 && buffer[0];
}

bool tree_sitter_lope_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  while (is_blank(lexer->lookahead)) skip(lexer);
  bool line_goes_on = !ends_line(lexer) && lexer->lookahead != '#';
  if (valid[FIELD_TEXT] && line_goes_on) return field_text(lexer);
  if (valid[HEADING_SLIP] && line_goes_on) return heading_word(lexer, valid[NAME]);

  bool starts_line = valid[FILE_START];
  while (is_blank(lexer->lookahead) || lexer->lookahead == '\n' || lexer->lookahead == '\r') {
    starts_line = starts_line || !is_blank(lexer->lookahead);
    skip(lexer);
  }
  if (starts_line && is_letter(lexer->lookahead)) return line_word(payload, lexer);
  return lexer->lookahead == '@' && call(lexer);
}
