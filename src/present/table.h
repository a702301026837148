/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text laid out for a terminal: aligned tables and wrapped paragraphs. */
#ifndef ES_TABLE_H
#define ES_TABLE_H

#include "earshot/present.h"

/* One column. What does not fit is taken from flexible columns: first down to `comfort`, then optional columns go,
 * then down to ES_TABLE_LEAST. A column of numbers is not flexible and so is never cut. An optional column in which
 * nothing stands is left out. */
typedef struct es_column {
    const char *head, *head2; /* two lines of heading; head2 may be NULL in all columns */
    bool right;               /* aligned to the right */
    bool flexible;
    bool optional;
    size_t comfort; /* of a flexible column */
} es_column;

enum { ES_TABLE_LEAST = 8, ES_TABLE_GAP = 2 };

/* Between several wordings of one cell, longest first: the first that fits is printed. */
#define ES_TABLE_OR "\x1f"

typedef struct es_table es_table;

/* The columns are borrowed. NULL when memory is out; all calls take NULL. */
es_table *es_table_new(const es_column *column, size_t n_columns);
void es_table_free(es_table *table);
/* The next cell, left to right and top to bottom. */
void es_table_put(es_table *table, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* A cell could not be put together, as memory was out. */
void es_table_fail(es_table *table);
/* Heading and rows, each line ending in '\n' without blanks before it. A failed table sets text->failed. */
void es_table_write(const es_table *table, unsigned width, earshot_text *text);

/* Words of a paragraph, wrapped at `width`; the first line starts with `first`, the others with blanks as wide. */
void es_wrap(const char *first, const char *words, unsigned width, earshot_text *text);
/* The same for words that were put together; they are cleared. When memory was out, text->failed is set. */
void es_wrap_made(const char *first, earshot_text *words, unsigned width, earshot_text *text);

/* A text cut to so many columns, with "..." at its end where it was cut. */
void es_text_cut(const char *piece, size_t bytes, size_t columns, earshot_text *text);

#endif
