/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file of readings. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "survey/row.h"

typedef struct reading_list {
    earshot_reading *item; /* malloc'ed */
    size_t n, capacity;
} reading_list;

static void report_fault(es_report *report, const es_csv_row *row)
{
    const earshot_place place = {.line = row->fault_line, .column = row->fault_column, .width = 1};
    switch (row->fault) {
    case ES_CSV_OPEN_QUOTE:
        es_hint(es_mistake(report, EARSHOT_READINGS, place, "a quotation mark is not closed"),
                "a field in quotes ends with one; a quote inside it is doubled");
        break;
    case ES_CSV_STRAY_QUOTE:
        es_hint(es_mistake(report, EARSHOT_READINGS, place, "a quotation mark in the middle of a field"),
                "put the whole field in quotes, and double each quote inside it");
        break;
    case ES_CSV_TOO_MANY:
        es_hint(es_mistake(report, EARSHOT_READINGS, place, "more than %d fields in a row", ES_CSV_MOST_FIELDS),
                "fields are separated by commas, rows by line ends");
        break;
    case ES_CSV_GOOD: break;
    }
}

static bool has_as_many(es_report *report, const es_columns *columns, const es_csv_row *row)
{
    if (row->n == columns->n) return true;
    const bool short_row = row->n < columns->n;
    const es_csv_field *field = &row->field[short_row ? row->n - 1 : columns->n];
    es_hint(es_mistake(report, EARSHOT_READINGS, es_field_place(field), "%zu fields in this row, %zu in the header",
                       row->n, columns->n),
            "%s", short_row ? "leave a field empty, but keep its comma" : "put a text with commas in quotes");
    return false;
}

static earshot_status add_row(es_row_reader *reader, const es_csv_row *row, reading_list *list)
{
    void *items = list->item;
    if (list->n == EARSHOT_MAX_READINGS) {
        es_hint(es_mistake(reader->report, EARSHOT_READINGS, es_field_place(&row->field[0]), "too many readings"),
                "at most %d at a time: leave out older visits", EARSHOT_MAX_READINGS);
        return EARSHOT_READINGS;
    }
    if (!es_grow(&items, &list->capacity, list->n, sizeof *list->item)) return EARSHOT_MEMORY;
    list->item = items;
    if (row->fault)
        report_fault(reader->report, row);
    else if (has_as_many(reader->report, &reader->columns, row) && es_row_read(reader, row, &list->item[list->n]))
        list->n++;
    return reader->memory_out ? EARSHOT_MEMORY : EARSHOT_OK;
}

static earshot_status no_header(es_report *report)
{
    es_hint(es_mistake(report, EARSHOT_READINGS, (earshot_place){0}, "the readings are empty"),
            "the first line names the columns: device,receiver,band,level");
    return EARSHOT_READINGS;
}

static earshot_status read_rows(es_row_reader *reader, es_csv_reader *csv, reading_list *list)
{
    es_csv_row *row = malloc(sizeof *row);
    if (!row) return EARSHOT_MEMORY;
    earshot_status status = EARSHOT_OK;
    if (!es_csv_next(csv, row)) status = no_header(reader->report);
    if (!status && row->fault) report_fault(reader->report, row);
    if (!status && !row->fault) es_columns_read(row, reader->report, &reader->columns);
    const bool readable = !status && !reader->report->findings->n_mistakes;
    while (readable && !status && !es_report_full(reader->report) && es_csv_next(csv, row))
        status = add_row(reader, row, list);
    free(row);
    return status;
}

static earshot_status settle(earshot_readings *made, const reading_list *list, const char *name)
{
    made->name = es_arena_string(made->arena, name, strlen(name));
    made->reading = es_arena_copy(made->arena, list->item, list->n, sizeof *list->item);
    made->n = list->n;
    return made->name && made->reading ? EARSHOT_OK : EARSHOT_MEMORY;
}

earshot_status earshot_readings_read(const char *text, size_t size, const char *name, const earshot_plan *plan,
                                     earshot_readings **readings, earshot_findings *findings)
{
    if (!readings) return EARSHOT_ARGUMENT;
    *readings = NULL;
    if (!text || !name || !plan || !findings) return EARSHOT_ARGUMENT;
    es_source source = {.name = name, .text = text, .size = size};
    const es_sources sources = {.item = &source, .n = 1};
    es_report report;
    es_report_start(&report, findings, &sources);
    earshot_readings *made = calloc(1, sizeof *made);
    if (made) made->arena = es_arena_new();
    reading_list list = {0};
    es_row_reader reader = {.plan = plan, .report = &report, .arena = made ? made->arena : NULL};
    es_csv_reader csv = es_csv_start(text, size);
    earshot_status status = made && made->arena ? read_rows(&reader, &csv, &list) : EARSHOT_MEMORY;
    if (!status && findings->n_mistakes) status = EARSHOT_READINGS;
    if (!status) status = settle(made, &list, name);
    free(list.item);
    if (status)
        earshot_readings_free(made);
    else
        *readings = made;
    return status;
}

void earshot_readings_free(earshot_readings *readings)
{
    if (!readings) return;
    es_arena_free(readings->arena);
    free(readings);
}

/* ---- from a file ---- */

enum { MOST_BYTES = 4 * 1024 * 1024 };

static earshot_status cannot_read(earshot_findings *findings, const char *path)
{
    const es_sources none = {0};
    es_report report;
    char shown[ES_SHOWN];
    es_report_start(&report, findings, &none);
    es_mistake(&report, EARSHOT_FILE_READ, (earshot_place){0}, "cannot read '%s'", es_show(shown, path, strlen(path)));
    return EARSHOT_FILE_READ;
}

static earshot_status too_long(earshot_findings *findings)
{
    const es_sources none = {0};
    es_report report;
    es_report_start(&report, findings, &none);
    es_mistake(&report, EARSHOT_READINGS, (earshot_place){0}, "a file of readings has at most %d bytes", MOST_BYTES);
    return EARSHOT_READINGS;
}

earshot_status earshot_readings_read_file(const char *path, const earshot_plan *plan, earshot_readings **readings,
                                          earshot_findings *findings)
{
    if (!readings) return EARSHOT_ARGUMENT;
    *readings = NULL;
    if (!path || !plan || !findings) return EARSHOT_ARGUMENT;
    FILE *file = fopen(path, "rb");
    if (!file) return cannot_read(findings, path);
    char *text = malloc(MOST_BYTES + 1);
    const size_t size = text ? fread(text, 1, MOST_BYTES + 1, file) : 0;
    const bool failed = ferror(file) != 0;
    fclose(file);
    earshot_status status = EARSHOT_MEMORY;
    if (text && failed)
        status = cannot_read(findings, path);
    else if (text && size > MOST_BYTES)
        status = too_long(findings);
    else if (text)
        status = earshot_readings_read(text, size, path, plan, readings, findings);
    free(text);
    return status;
}
