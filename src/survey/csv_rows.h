/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows and fields of comma-separated values after RFC 4180, with the place of each field. We read them ourselves: a
 * general library gives fields without their places, and a bad row must be named by line and column. */
#ifndef ES_CSV_ROWS_H
#define ES_CSV_ROWS_H

#include <stdbool.h>
#include <stddef.h>

enum { ES_CSV_MOST_FIELDS = 64 };

typedef enum es_csv_fault {
    ES_CSV_GOOD,
    ES_CSV_OPEN_QUOTE,  /* a quote that is never closed */
    ES_CSV_STRAY_QUOTE, /* a quote inside a bare field, or text after a closing one */
    ES_CSV_TOO_MANY     /* fields in one row */
} es_csv_fault;

/* One field: what is between the quotes, which may hold doubled quotes. */
typedef struct es_csv_field {
    const char *text;
    size_t n;
    bool quoted;
    unsigned line, column, width; /* where it begins, in characters from 1; width of what is in the text */
} es_csv_field;

typedef struct es_csv_row {
    es_csv_field field[ES_CSV_MOST_FIELDS];
    size_t n;
    es_csv_fault fault;
    unsigned fault_line, fault_column;
} es_csv_row;

typedef struct es_csv_reader {
    const char *text;
    size_t size, at;
    unsigned line, column;
} es_csv_reader;

/* A byte order mark at the front is passed over. */
es_csv_reader es_csv_start(const char *text, size_t size);
/* The next row that is not an empty line; false at the end. Lines end in LF, CRLF or CR. After a fault reading goes on
 * in the next line. */
bool es_csv_next(es_csv_reader *reader, es_csv_row *row);
/* A field without its doubled quotes and, if it was bare, without blanks around it. Returns its length, at most that of
 * the field; `out` is not ended by a NUL. */
size_t es_csv_value(const es_csv_field *field, char *out);

#endif
