/**
 * The Lope notation for editors: the productions of ../NOTATION.md, with names in small letters.
 *
 * Every text has a tree without an ERROR: wherever the grammar of the reader goes on, this one does too, and
 * what has no place where it stands is an `error` node. Two things are decided by src/scanner.c, because
 * they depend on where a line starts and ends: fields and headings.
 */

/**
 * Any character but those of `these`, and the last there is, which stands for nothing in any text: for a set
 * that holds it the generated C takes a zero byte for the end of the text.
 */
const not = (these) => `[^${these}\\u{10FFFF}]`;

/** What ends a name, a run of text that starts no token, and words or a chord symbol left open. */
const ENDS_NAME = ' \\t\\r\\n|{}\\[\\]"<>@#%';
const ENDS_RUN = ' \\t\\r\\n|{}\\[\\]"<#';
const ENDS_LINE = "\\r\\n";

const RUN = `${not(ENDS_RUN)}*`;

/** The pieces a slip is kept in, as in syntax/src/token.rs; the last five are what no token starts with. */
const UNKNOWN = [
  "[A-Za-z][A-Za-z]+",
  "[0-9]+:?",
  "t[0-9]+:?",
  "[hps]([0-9]+:)?",
  `"${not('"' + ENDS_LINE)}*`,
  `<${not("<>|" + ENDS_LINE)}*`,
  `[A-Ga-g](${not("A-Za-z0-9" + ENDS_RUN)}${RUN})?`,
  `[H-Zi-oqru-z](${not("A-Za-z" + ENDS_RUN)}${RUN})?`,
  `/(${not("0-9imrp" + ENDS_RUN)}${RUN})?`,
  `@([>@%]${RUN})?`,
  `${not("A-Za-z0-9_%@/!~\\^\\-" + ENDS_RUN)}${RUN}`,
];

const regex = (pattern) => new RegExp(pattern, "u");

const MARKS = { accent: "!", vibrato: "~", choke: "^", finger: /\/[imrp]/ };
const OVER = /\/[0-9]+/;

/** The marks of a note, each made by `token`. */
const marks = ($, token) => choice(...Object.keys(MARKS).map((name) => alias(token(MARKS[name]), $[name])));

/** A heading: its word, its name where it has one, and whatever else stands on its line. */
const heading = ($, word, named) => {
  const more = repeat(choice(field("times", $.times), field("passes", $.passes), $._slip));
  return named ? seq(word, repeat($._slip), optional(seq(field("name", $.name), more))) : seq(word, more);
};

/** A section: what stands below its heading goes on as long as it can. */
const section = ($, heading, ...more) => prec.right(seq(alias(heading, $.heading), optional($._bars), ...more));

module.exports = grammar({
  name: "lope",

  externals: ($) => [
    // Never there: valid only where a file starts, which tells the scanner that a line does.
    $._file_start,
    // The name of a `tune` field that starts a new tune.
    $._next_tune,
    $.field_name,
    $.field_text,
    $.part_word,
    $.phrase_word,
    $.ending_word,
    $.melody_word,
    $.name,
    $.times,
    $.passes,
    $._heading_slip,
    // The `@` before a name.
    $._call,
  ],

  extras: ($) => [/[ \t\r\n]/, $.comment],

  rules: {
    file: ($) => seq(optional($._file_start), optional(alias($._first_tune, $.tune)), repeat($.tune)),

    tune: ($) => prec.right(seq(alias($._title, $.field), repeat($._section))),
    _first_tune: ($) => prec.right(repeat1($._section)),
    _section: ($) => choice($.field, $.part, $.phrase, $.melody, $.ending, $.stray),

    _title: ($) => prec.right(seq(field("name", alias($._next_tune, $.field_name)), $._field_text)),
    field: ($) => prec.right(seq(field("name", $.field_name), $._field_text)),
    _field_text: ($) => prec.right(seq(":", optional(field("text", $.field_text)))),

    part: ($) => section($, $._part_heading, repeat($.ending)),
    phrase: ($) => section($, $._phrase_heading),
    melody: ($) => section($, $._melody_heading, repeat($.ending)),
    ending: ($) => section($, $._ending_heading),

    _part_heading: ($) => prec.right(heading($, $.part_word, true)),
    _phrase_heading: ($) => prec.right(heading($, $.phrase_word, true)),
    _melody_heading: ($) => prec.right(heading($, $.melody_word, true)),
    _ending_heading: ($) => prec.right(heading($, $.ending_word, false)),
    _slip: ($) => alias($._heading_error, $.error),
    _heading_error: ($) => alias($._heading_slip, $.unknown),

    // Music above the first heading is kept in one piece.
    stray: ($) => prec.right(repeat1(choice($.bar_line, $._in_bar))),

    _bars: ($) => prec.right(repeat1(choice($.bar_line, $.bar, $.field))),
    bar: ($) => prec.right(seq($._in_bar, repeat(choice($._in_bar, $.field)))),
    _in_bar: ($) => choice($._slot, $._label, $.bar_again, $.phrase_call, alias($._bar_error, $.error)),
    _slot: ($) => choice($.note, $.pitch, $.brush, $.brace, $.hold, $.silence),
    _label: ($) => choice($.words, $.chord),

    note: ($) =>
      prec.right(seq(choice($.strike, $.thumb, $.hammer, $.pull, $.slide), repeat(marks($, token.immediate)))),

    brush: ($) =>
      prec.right(seq("[", repeat(choice($.note, alias($._brush_error, $.error))), optional("]"))),

    brace: ($) =>
      prec.right(seq(
        "{",
        repeat(choice($._slot, $._label, alias($._brace_error, $.error))),
        optional(seq("}", optional(field("over", alias(token.immediate(OVER), $.over))))),
      )),

    // What has no place where it stands.
    _bar_error: ($) => choice($._loose, "}", "]"),
    _brace_error: ($) => choice($._loose, "]", $.bar_again, $.phrase_call),
    _brush_error: ($) =>
      choice($._loose, "[", "{", "}", $._label, $.pitch, $.hold, $.silence, $.bar_again, $.phrase_call),
    _loose: ($) => choice($.unknown, marks($, (mark) => mark), alias(OVER, $.over)),

    bar_line: (_) => "|",
    strike: (_) => /[0-9]+:[0-9]+/,
    thumb: (_) => /t([0-9]+:[0-9]+)?/,
    hammer: (_) => /h([0-9]+:)?[0-9]+/,
    pull: (_) => /p([0-9]+:)?[0-9]+/,
    slide: (_) => /s([0-9]+:)?[0-9]+/,
    pitch: (_) => /[A-Ga-g][#b]?[0-9]+/,
    hold: (_) => "-",
    silence: (_) => "_",
    bar_again: (_) => "%",
    phrase_call: ($) =>
      seq(alias($._call, "@"), field("name", alias(token.immediate(regex(`${not(ENDS_NAME)}+`)), $.name))),
    words: (_) => regex(`"${not('"' + ENDS_LINE)}*"`),
    chord: (_) => regex(`<${not("<>|" + ENDS_LINE)}*>`),
    unknown: (_) => token(choice(...UNKNOWN.map(regex))),
    comment: (_) => regex(`#${not(ENDS_LINE)}*`),
  },
});
