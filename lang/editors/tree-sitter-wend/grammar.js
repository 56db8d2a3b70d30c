// The grammar of wend for tree-sitter, after the section "Grammar" of
// lang/REFERENCE.md. `generate.sh` makes src/parser.c from it.
//
// It is for colours, folding and moving about in an editor, so it accepts a
// little more than wend does: what is wrong with a program, wend itself says.
// Which line ends count, src/scanner.c decides. A `(` or `[` that is glued to
// what stands before it is a call or an index; spaced, it begins a value.

const prec_of = {
  widest: 1, // `fn(x) = e` and `curve … = e` reach as far as they can
  or: 2, and: 3, not: 4, compare: 5, range: 6, sum: 7, product: 8, negation: 9, power: 10, postfix: 11,
};

const some = (rule, separator) => seq(rule, repeat(seq(separator, rule)));
const list = (rule) => optional(seq(some(rule, ','), optional(',')));
const glued = (sign) => token.immediate(prec(1, sign));

// What can stand behind a value, or behind the name that begins a statement.
const call = ($, of) => prec(prec_of.postfix, seq(field('callee', of), field('arguments', $.arguments)));
const index = ($, of) => prec(prec_of.postfix, seq(field('of', of), glued('['), $._expression, ']'));
const field_of = ($, of) => prec(prec_of.postfix, seq(field('of', of), '.', field('name', alias($.name, $.member))));

module.exports = grammar({
  name: 'wend',
  word: $ => $.name,
  externals: $ => [$._line_end],
  extras: $ => [/[ \t\r\n\uFEFF]/, $.comment],
  supertypes: $ => [$._statement, $._expression, $._primary],

  rules: {
    program: $ => optional($._statements),
    _statements: $ => seq(some($._statement, $._end), optional($._end)),
    _end: $ => repeat1(choice($._line_end, ';')),
    block: $ => seq('{', optional($._statements), '}'),

    _statement: $ => choice(
      $.use, $.let, $.assignment, $.function_definition, $.figure_definition, $.loop, $.if, $.return,
      $.break, $.continue, $.draw, $.branch, $.do,
    ),
    use: $ => seq('use', field('file', $.text), 'as', field('name', $.name)),
    let: $ => seq('let', field('name', $.name), '=', field('value', $._expression)),
    assignment: $ => seq(
      field('target', $._target),
      field('operator', choice('=', '+=', '-=', '*=', '/=')),
      field('value', $._expression),
    ),
    function_definition: $ => seq(
      'fn', field('name', $.name), field('parameters', $.parameters),
      choice(seq('=', field('result', $._expression)), field('body', $.block)),
    ),
    figure_definition: $ => seq('figure', field('name', $.name), field('parameters', $.parameters), field('body', $.block)),
    parameters: $ => seq(choice('(', glued('(')), list($.parameter), ')'),
    parameter: $ => seq(field('name', $.name), optional(seq('=', field('default', $._expression)))),
    loop: $ => seq(
      'loop',
      choice(
        field('times', $._expression),
        seq(optional(seq(field('count', $.name), ',')), field('variable', $.name), 'in', field('values', $._expression)),
        seq('while', field('condition', $._expression)),
      ),
      field('body', $.block),
    ),
    if: $ => seq(
      'if', field('condition', $._expression), field('body', $.block),
      optional(seq('else', field('alternative', choice($.if, $.block)))),
    ),
    return: $ => prec.right(seq('return', optional($._expression))),
    break: _ => 'break',
    continue: _ => 'continue',
    draw: $ => seq('draw', field('path', $._expression), optional(seq('at', field('place', $._expression)))),
    branch: $ => seq('branch', field('body', $.block)),
    do: $ => seq(field('callee', $._target), optional(alias($._bare_arguments, $.arguments))),
    _bare_arguments: $ => some($._argument, ','),

    // What a statement that is no keyword's begins with.
    _target: $ => choice($.name, alias($._target_call, $.call), alias($._target_index, $.index), alias($._target_field, $.field)),
    _target_call: $ => call($, $._target),
    _target_index: $ => index($, $._target),
    _target_field: $ => field_of($, $._target),

    _expression: $ => choice($.binary, $.not, $.negation, $.range, $.function, $.curve, $._primary),
    _primary: $ => choice(
      $.call, $.index, $.field,
      $.number, $.text, $.true, $.false, $.name, $.group, $.point, $.list, $.record, $.choice, $.path,
    ),
    binary: $ => choice(
      ...[
        ['or', 'or'], ['and', 'and'], ['==', 'compare'], ['!=', 'compare'], ['<', 'compare'], ['<=', 'compare'],
        ['>', 'compare'], ['>=', 'compare'], ['+', 'sum'], ['-', 'sum'], ['*', 'product'], ['/', 'product'],
      ].map(([sign, level]) => prec.left(prec_of[level], seq(
        field('left', $._expression), field('operator', sign), field('right', $._expression),
      ))),
      prec.right(prec_of.power, seq(field('left', $._expression), field('operator', '^'), field('right', $._expression))),
    ),
    not: $ => prec(prec_of.not, seq('not', $._expression)),
    negation: $ => prec(prec_of.negation, seq('-', $._expression)),
    range: $ => prec.left(prec_of.range, seq(
      field('from', $._expression), '..', field('to', $._expression), optional(seq('by', field('step', $._expression))),
    )),
    call: $ => call($, $._primary),
    index: $ => index($, $._primary),
    field: $ => field_of($, $._primary),
    arguments: $ => seq(glued('('), list($._argument), ')'),
    _argument: $ => choice($._expression, $.named_argument),
    named_argument: $ => seq(field('name', $.name), ':', field('value', $._expression)),

    group: $ => seq('(', $._expression, ')'),
    point: $ => seq('(', $._expression, ',', $._expression, ')'),
    list: $ => seq('[', list($._expression), ']'),
    record: $ => seq('{', some($.entry, ','), optional(','), '}'),
    entry: $ => seq(field('name', choice(alias($.name, $.member), $.text)), ':', field('value', $._expression)),
    choice: $ => seq(
      'if', field('condition', $._expression), '{', field('value', $._expression), '}',
      'else', choice(field('alternative', $.choice), seq('{', field('alternative', $._expression), '}')),
    ),
    function: $ => prec.right(prec_of.widest, seq(
      'fn', field('parameters', $.parameters), choice(seq('=', field('result', $._expression)), field('body', $.block)),
    )),
    path: $ => seq('path', field('body', $.block)),
    curve: $ => prec.right(prec_of.widest, seq(
      'curve', field('variable', $.name), 'in', field('interval', $._expression), '=', field('point', $._expression),
    )),

    true: _ => 'true',
    false: _ => 'false',
    number: $ => seq($._digits, optional($.unit)),
    _digits: _ => /[0-9][0-9_]*(\.[0-9][0-9_]*)?([eE][+-]?[0-9][0-9_]*)?/,
    unit: _ => token.immediate(choice('mm', 'cm', 'in', 'deg', 'rad')),
    text: $ => seq(
      '"',
      repeat(choice($._plain, $.escape, $.insert)),
      token.immediate('"'),
    ),
    _plain: _ => token.immediate(prec(1, /[^"\\{\r\n]+/)),
    escape: _ => token.immediate(prec(1, /\\([n"\\{}]|u\{[0-9a-fA-F]+\})/)),
    insert: $ => seq(token.immediate('{'), $._expression, '}'),
    name: _ => /[_\p{XID_Start}][\p{XID_Continue}]*/,
    comment: _ => token(prec(-1, /#[^\r\n]*/)),
  },
});
