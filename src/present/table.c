/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/table.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/number.h"
#include "base/text.h"

enum { MAX_COLUMNS = 32, LONGEST_CELL = 1024 };

struct es_table {
    const es_column *column;
    size_t n_columns;
    earshot_text pool; /* the cells, each ended by NUL */
    size_t *offset;    /* [n_cells] into the pool */
    size_t n_cells, capacity;
    bool failed;
};

es_table *es_table_new(const es_column *column, size_t n_columns)
{
    if (n_columns > MAX_COLUMNS) return NULL;
    es_table *table = calloc(1, sizeof *table);
    if (!table) return NULL;
    table->column = column;
    table->n_columns = n_columns;
    return table;
}

void es_table_free(es_table *table)
{
    if (!table) return;
    earshot_text_clear(&table->pool);
    free(table->offset);
    free(table);
}

void es_table_put(es_table *table, const char *format, ...)
{
    char cell[LONGEST_CELL];
    if (!table || table->failed) return;
    if (!es_grow((void **)&table->offset, &table->capacity, table->n_cells, sizeof *table->offset)) {
        table->failed = true;
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    es_vformat(cell, sizeof cell, format, arguments);
    va_end(arguments);
    table->offset[table->n_cells++] = table->pool.size;
    es_text_add_bytes(&table->pool, cell, strlen(cell) + 1);
    table->failed = table->pool.failed;
}

void es_table_fail(es_table *table)
{
    if (table) table->failed = true;
}

/* Columns of text[0..bytes): UTF-8 continuation bytes do not count. */
static size_t columns_of(const char *text, size_t bytes)
{
    size_t n = 0;
    for (size_t i = 0; i < bytes; i++) n += ((unsigned char)text[i] & 0xC0) != 0x80;
    return n;
}

/* Bytes of the first so many columns. */
static size_t bytes_of(const char *text, size_t bytes, size_t columns)
{
    size_t i = 0, n = 0;
    while (i < bytes) {
        if (((unsigned char)text[i] & 0xC0) != 0x80 && n++ == columns) break;
        i++;
    }
    return i;
}

void es_text_cut(const char *piece, size_t bytes, size_t columns, earshot_text *text)
{
    if (columns_of(piece, bytes) <= columns) {
        es_text_add_bytes(text, piece, bytes);
    } else if (columns <= 3) {
        es_text_add_bytes(text, piece, bytes_of(piece, bytes, columns));
    } else {
        es_text_add_bytes(text, piece, bytes_of(piece, bytes, columns - 3));
        es_text_add(text, "...");
    }
}

/* The wording of a cell that fits; the shortest if none does. */
static const char *fitting(const char *cell, size_t columns, size_t *bytes)
{
    for (;;) {
        *bytes = strcspn(cell, ES_TABLE_OR);
        if (!cell[*bytes] || columns_of(cell, *bytes) <= columns) return cell;
        cell += *bytes + 1;
    }
}

static const char *cell_at(const es_table *table, size_t row, size_t column)
{
    return table->pool.data + table->offset[row * table->n_columns + column];
}

static size_t larger(size_t a, size_t b)
{
    return a > b ? a : b;
}

static size_t natural_width(const es_table *table, size_t column)
{
    const es_column *c = &table->column[column];
    size_t width = es_text_columns(c->head);
    if (c->head2) width = larger(width, es_text_columns(c->head2));
    for (size_t row = 0; row < table->n_cells / table->n_columns; row++) {
        const char *cell = cell_at(table, row, column);
        width = larger(width, columns_of(cell, strcspn(cell, ES_TABLE_OR)));
    }
    return width;
}

/* Gaps stand between the columns that are shown; a width of 0 hides one. */
static size_t total_width(const size_t *width, size_t n)
{
    size_t total = 0, shown = 0;
    for (size_t i = 0; i < n; i++) {
        total += width[i];
        shown += width[i] > 0;
    }
    return total + (shown ? (shown - 1) * ES_TABLE_GAP : 0);
}

/* Takes one column at a time from the widest flexible column until the table fits or all are at their least. */
static void shrink(const es_table *table, size_t *width, size_t limit, bool to_comfort)
{
    while (total_width(width, table->n_columns) > limit) {
        size_t widest = table->n_columns;
        for (size_t i = 0; i < table->n_columns; i++) {
            const size_t least = to_comfort ? table->column[i].comfort : ES_TABLE_LEAST;
            if (!table->column[i].flexible || width[i] <= least) continue;
            if (widest == table->n_columns || width[i] > width[widest]) widest = i;
        }
        if (widest == table->n_columns) return;
        width[widest]--;
    }
}

static bool drop_optional(const es_table *table, size_t *width)
{
    for (size_t i = table->n_columns; i-- > 0;) {
        if (!table->column[i].optional || width[i] == 0) continue;
        width[i] = 0;
        return true;
    }
    return false;
}

static bool is_empty(const es_table *table, size_t column)
{
    for (size_t row = 0; row < table->n_cells / table->n_columns; row++)
        if (*cell_at(table, row, column)) return false;
    return true;
}

static void fit(const es_table *table, size_t *width, size_t limit)
{
    bool dropped[MAX_COLUMNS] = {false};
    for (size_t i = 0; i < table->n_columns; i++) dropped[i] = table->column[i].optional && is_empty(table, i);
    for (;;) {
        for (size_t i = 0; i < table->n_columns; i++) width[i] = dropped[i] ? 0 : natural_width(table, i);
        shrink(table, width, limit, true);
        if (total_width(width, table->n_columns) <= limit || !drop_optional(table, width)) break;
        for (size_t i = 0; i < table->n_columns; i++) dropped[i] = dropped[i] || width[i] == 0;
    }
    shrink(table, width, limit, false);
}

static void add_blanks(size_t n, earshot_text *text)
{
    while (n-- > 0) es_text_add_char(text, ' ');
}

/* One line; the blanks that a left-aligned cell needs behind it are kept back until something follows. */
static void write_line(const es_table *table, const size_t *width, const char *const *cell, earshot_text *text)
{
    size_t owed = 0;
    bool first = true;
    for (size_t i = 0; i < table->n_columns; i++) {
        if (width[i] == 0) continue;
        size_t bytes;
        const char *piece = fitting(cell[i], width[i], &bytes);
        const size_t columns = columns_of(piece, bytes) < width[i] ? columns_of(piece, bytes) : width[i];
        const size_t pad = width[i] - columns;
        owed += first ? 0 : ES_TABLE_GAP;
        first = false;
        if (table->column[i].right) owed += pad;
        if (columns) {
            add_blanks(owed, text);
            owed = 0;
            es_text_cut(piece, bytes, width[i], text);
        }
        if (!table->column[i].right) owed += pad;
    }
    es_text_add_char(text, '\n');
}

void es_table_write(const es_table *table, unsigned width, earshot_text *text)
{
    const char *cell[MAX_COLUMNS];
    size_t widths[MAX_COLUMNS];
    if (!table || table->failed) {
        text->failed = true;
        return;
    }
    fit(table, widths, width);
    for (size_t i = 0; i < table->n_columns; i++) cell[i] = table->column[i].head;
    write_line(table, widths, cell, text);
    for (size_t i = 0; i < table->n_columns; i++) cell[i] = table->column[i].head2 ? table->column[i].head2 : "";
    if (table->column[0].head2) write_line(table, widths, cell, text);
    for (size_t row = 0; row < table->n_cells / table->n_columns; row++) {
        for (size_t i = 0; i < table->n_columns; i++) cell[i] = cell_at(table, row, i);
        write_line(table, widths, cell, text);
    }
}

void es_wrap(const char *first, const char *words, unsigned width, earshot_text *text)
{
    const size_t indent = es_text_columns(first);
    size_t at = indent;
    bool line_empty = true;
    es_text_add(text, first);
    while (*words) {
        const size_t bytes = strcspn(words, " ");
        const size_t columns = columns_of(words, bytes);
        if (!line_empty && at + 1 + columns > width) {
            es_text_add_char(text, '\n');
            add_blanks(indent, text);
            at = indent;
            line_empty = true;
        }
        if (!line_empty) es_text_add_char(text, ' ');
        at += columns + (line_empty ? 0 : 1);
        es_text_add_bytes(text, words, bytes);
        line_empty = false;
        words += bytes + (words[bytes] == ' ');
    }
    es_text_add_char(text, '\n');
}

void es_wrap_made(const char *first, earshot_text *words, unsigned width, earshot_text *text)
{
    if (words->failed)
        text->failed = true;
    else if (words->data)
        es_wrap(first, words->data, width, text);
    earshot_text_clear(words);
}
