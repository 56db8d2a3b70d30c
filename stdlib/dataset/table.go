package dataset

import (
	"fmt"
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
)

// Table reads a table of comma-separated values as RFC 4180 describes them,
// into a list of records named by the header row. Lines may end in LF alone,
// spaces around a cell and empty lines do not count, and the cells of a header
// row without a comma may be separated by `;` or tabs.
//
// A column is of numbers if all its filled cells are JSON numbers; beside `;`
// they may have a decimal comma. If the first row is all numbers, there is no
// header: the columns are `column 1`, `column 2`, …, as those with an empty or
// repeated header are.
func Table(file *source.File, charge Charge) (value.Value, error) {
	if err := wellFormed(file); err != nil {
		return value.Nothing, err
	}
	if err := charge(len(file.Text)/8, 0); err != nil {
		return value.Nothing, err
	}
	t := &table{file: file}
	if strings.HasPrefix(file.Text, byteOrderMark) {
		t.at = len(byteOrderMark)
	}
	rows, err := t.rows(charge)
	if err != nil || len(rows) == 0 {
		return value.List(nil), err
	}
	return t.records(rows, charge)
}

type table struct {
	file      *source.File
	at        int
	separator byte
	width     int // of the rows so far
}

// cell is one cell with its bytes in the file.
type cell struct {
	text     string
	from, to int
}

// rows reads all rows but empty ones.
func (t *table) rows(charge Charge) ([][]cell, error) {
	var rows [][]cell
	t.separator = t.findSeparator()
	for t.at < len(t.file.Text) {
		row, err := t.row()
		if err != nil {
			return nil, err
		}
		if len(row) == 1 && row[0].text == "" && row[0].from == row[0].to {
			continue
		}
		if len(rows) > 0 && len(row) != len(rows[0]) {
			return nil, fault(t.file, "data-row-width", row[0].from, row[len(row)-1].to, diag.Args{
				"found": len(row), "wanted": len(rows[0]), "line": t.file.LineOf(rows[0][0].from),
			})
		}
		if err := charge(len(row), len(row)*valueBytes); err != nil {
			return nil, err
		}
		rows, t.width = append(rows, row), len(row)
	}
	return rows, nil
}

// findSeparator looks at the first row that is not empty: a comma outside
// quotes wins, then a semicolon, then a tab.
func (t *table) findSeparator() byte {
	quoted, filled := false, false
	found := map[byte]bool{}
	for i := t.at; i < len(t.file.Text); i++ {
		switch c := t.file.Text[i]; {
		case c == '"':
			quoted, filled = !quoted, true
		case quoted:
		case c == '\n' || c == '\r':
			if filled {
				i = len(t.file.Text)
			}
		default:
			found[c] = true
			filled = filled || c != ' '
		}
	}
	for _, c := range []byte{',', ';', '\t'} {
		if found[c] {
			return c
		}
	}
	return ','
}

// blank reports whether a byte is a space beside a cell. A tab is one unless it
// separates.
func (t *table) blank(c byte) bool { return c == ' ' || c == '\t' && t.separator != '\t' }

// row reads one row and the end of its line.
func (t *table) row() ([]cell, error) {
	text := t.file.Text
	row := make([]cell, 0, t.width)
	for {
		for t.at < len(text) && t.blank(text[t.at]) {
			t.at++
		}
		var c cell
		var err error
		if t.at < len(text) && text[t.at] == '"' {
			c, err = t.quoted()
		} else {
			c, err = t.plain()
		}
		if err != nil {
			return nil, err
		}
		row = append(row, c)
		switch {
		case t.at == len(text):
			return row, nil
		case text[t.at] == t.separator:
			t.at++
		case strings.HasPrefix(text[t.at:], "\r\n"):
			t.at += 2
			return row, nil
		default: // a lone CR or LF
			t.at++
			return row, nil
		}
	}
}

// plain reads a cell without quotes.
func (t *table) plain() (cell, error) {
	text := t.file.Text
	from := t.at
	for t.at < len(text) && text[t.at] != t.separator && text[t.at] != '\n' && text[t.at] != '\r' {
		if text[t.at] == '"' {
			return cell{}, fault(t.file, "data-quote", t.at, t.at+1, diag.Args{})
		}
		t.at++
	}
	to := t.at
	for to > from && t.blank(text[to-1]) {
		to--
	}
	return cell{text[from:to], from, to}, nil
}

// quoted reads a cell in quotes, in which two quotes stand for one.
func (t *table) quoted() (cell, error) {
	text := t.file.Text
	from := t.at
	inside, doubled := from+1, false
	for t.at++; ; t.at += len(`""`) {
		end := strings.IndexByte(text[t.at:], '"')
		if end < 0 {
			return cell{}, fault(t.file, "data-quote-open", from, from+1, diag.Args{})
		}
		t.at += end
		if !strings.HasPrefix(text[t.at:], `""`) {
			break
		}
		doubled = true
	}
	out := text[inside:t.at]
	if doubled {
		out = strings.ReplaceAll(out, `""`, `"`)
	}
	t.at++
	to := t.at
	for t.at < len(text) && t.blank(text[t.at]) {
		t.at++
	}
	if t.at < len(text) && text[t.at] != t.separator && text[t.at] != '\n' && text[t.at] != '\r' {
		return cell{}, fault(t.file, "data-after-quote", t.at, t.at+1, diag.Args{})
	}
	// A row of a text ends as one of the language does.
	return cell{strings.ReplaceAll(out, "\r\n", "\n"), from, to}, nil
}

// number reads a cell of a column of numbers.
func (t *table) number(c cell) (float64, bool) {
	text := c.text
	if t.separator == ';' {
		text = strings.Replace(text, ",", ".", 1)
	}
	return numberOf(text)
}

func (t *table) records(rows [][]cell, charge Charge) (value.Value, error) {
	header, isHeader := rows[0], false
	for _, c := range header {
		if _, ok := t.number(c); !ok {
			isHeader = true
		}
	}
	names := columnNames(header, isHeader)
	if isHeader {
		rows = rows[1:]
	}
	numbers := t.numberColumns(rows, len(names))
	known := layouts{}
	items := make([]value.Value, len(rows))
	filled, empty := make([]string, 0, len(names)), make([]string, 0, len(names))
	for i, row := range rows {
		values := make([]value.Value, 0, len(row))
		filled, empty = filled[:0], empty[:0]
		size := recordBytes
		for k, c := range row {
			switch {
			case numbers[k] != nil && c.text == "":
				empty = append(empty, names[k])
				continue
			case numbers[k] != nil:
				values = append(values, value.Number(numbers[k][i]))
			default:
				values = append(values, value.Text(c.text))
				size += len(c.text)
			}
			filled = append(filled, names[k])
			size += valueBytes
		}
		if err := charge(len(row), size); err != nil {
			return value.Nothing, err
		}
		items[i] = value.RecordFrom(known.of(filled, empty), values, t.file.Name, t.file.LineOf(row[0].from))
	}
	return value.List(items), nil
}

// numberColumns are the numbers of each column whose filled cells are all
// numbers; nil for the others.
func (t *table) numberColumns(rows [][]cell, width int) [][]float64 {
	columns := make([][]float64, width)
	for k := range columns {
		column := make([]float64, len(rows))
		for i, row := range rows {
			x, ok := t.number(row[k])
			if !ok && row[k].text != "" {
				column = nil
				break
			}
			column[i] = x
		}
		columns[k] = column
	}
	return columns
}

// columnNames are the names of the columns, each once.
func columnNames(header []cell, isHeader bool) []string {
	names := make([]string, len(header))
	taken := map[string]bool{}
	if isHeader {
		for k, c := range header {
			if name := composed(c.text); name != "" && !taken[name] {
				names[k], taken[name] = name, true
			}
		}
	}
	for k := range names {
		if names[k] != "" {
			continue
		}
		names[k] = fmt.Sprintf("column %d", k+1)
		for taken[names[k]] {
			names[k] += "'" // another column calls itself so
		}
		taken[names[k]] = true
	}
	return names
}
