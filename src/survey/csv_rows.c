/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/csv_rows.h"

#include <string.h>

static const char BOM[] = "\xEF\xBB\xBF";

es_csv_reader es_csv_start(const char *text, size_t size)
{
    const bool marked = size >= 3 && memcmp(text, BOM, 3) == 0;
    return (es_csv_reader){.text = text, .size = size, .at = marked ? 3 : 0, .line = 1, .column = 1};
}

static bool ended(const es_csv_reader *r)
{
    return r->at >= r->size;
}

static char here(const es_csv_reader *r)
{
    return ended(r) ? '\n' : r->text[r->at];
}

static bool at_line_end(const es_csv_reader *r)
{
    return here(r) == '\n' || here(r) == '\r';
}

/* One byte on, or both of CR LF. Bytes that continue a character do not count as columns. */
static void step(es_csv_reader *r)
{
    const char c = here(r);
    if (ended(r)) return;
    r->at++;
    if (c == '\r' && here(r) == '\n' && !ended(r)) r->at++;
    if (c == '\n' || c == '\r') {
        r->line++;
        r->column = 1;
    } else if (((unsigned char)here(r) & 0xC0) != 0x80) {
        r->column++;
    }
}

static void skip_line(es_csv_reader *r)
{
    while (!ended(r) && !at_line_end(r)) step(r);
}

static void note_fault(es_csv_row *row, es_csv_fault fault, unsigned line, unsigned column)
{
    if (row->fault) return;
    row->fault = fault;
    row->fault_line = line;
    row->fault_column = column;
}

static void read_bare(es_csv_reader *r, es_csv_row *row, es_csv_field *field)
{
    while (!ended(r) && here(r) != ',' && !at_line_end(r)) {
        if (here(r) == '"') note_fault(row, ES_CSV_STRAY_QUOTE, r->line, r->column);
        step(r);
    }
    field->n = (size_t)(r->text + r->at - field->text);
}

static void read_quoted(es_csv_reader *r, es_csv_row *row, es_csv_field *field)
{
    step(r);
    field->text = r->text + r->at;
    field->quoted = true;
    for (;;) {
        if (ended(r)) {
            note_fault(row, ES_CSV_OPEN_QUOTE, field->line, field->column);
            break;
        }
        if (here(r) == '"') {
            const bool doubled = r->at + 1 < r->size && r->text[r->at + 1] == '"';
            if (!doubled) break;
            step(r);
        }
        step(r);
    }
    field->n = (size_t)(r->text + r->at - field->text);
    step(r);
    if (ended(r) || here(r) == ',' || at_line_end(r)) return;
    note_fault(row, ES_CSV_STRAY_QUOTE, r->line, r->column);
    while (!ended(r) && here(r) != ',' && !at_line_end(r)) step(r);
}

static void read_field(es_csv_reader *r, es_csv_row *row)
{
    es_csv_field field = {.text = r->text + r->at, .line = r->line, .column = r->column};
    if (here(r) == '"' && !ended(r))
        read_quoted(r, row, &field);
    else
        read_bare(r, row, &field);
    field.width = r->line == field.line && r->column > field.column ? r->column - field.column : 1;
    if (row->n == ES_CSV_MOST_FIELDS)
        note_fault(row, ES_CSV_TOO_MANY, field.line, field.column);
    else
        row->field[row->n++] = field;
}

bool es_csv_next(es_csv_reader *reader, es_csv_row *row)
{
    while (!ended(reader) && at_line_end(reader)) step(reader);
    if (ended(reader)) return false;
    row->n = 0;
    row->fault = ES_CSV_GOOD;
    for (;;) {
        read_field(reader, row);
        if (ended(reader) || here(reader) != ',') break;
        step(reader);
    }
    if (row->fault) skip_line(reader);
    step(reader);
    return true;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

size_t es_csv_value(const es_csv_field *field, char *out)
{
    const char *text = field->text;
    size_t n = field->n, filled = 0;
    while (!field->quoted && n && is_blank(text[n - 1])) n--;
    while (!field->quoted && n && is_blank(*text)) {
        text++;
        n--;
    }
    for (size_t i = 0; i < n; i++) {
        out[filled++] = text[i];
        if (field->quoted && text[i] == '"' && i + 1 < n && text[i + 1] == '"') i++;
    }
    return filled;
}
