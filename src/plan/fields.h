/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One field of a statement: read, write, compare. */
#ifndef ES_FIELDS_H
#define ES_FIELDS_H

#include "earshot/present.h"
#include "plan/reader.h"

/* Read a field's value into its member of item. false when it is wrong: reported (or memory is out). Points are
 * collected in the reader and put in their place by es_points_end. */
bool es_field_read(es_reader *reader, const es_field *field, const es_token *token, void *item);
bool es_points_end(es_reader *reader, const es_field *field, void *item);

/* Of a stretch within a token: a number with its unit, in a range; a name. */
bool es_read_quantity(es_reader *reader, const es_field *field, const es_token *token, const char *text, size_t n,
                      double *value);
bool es_read_name(es_reader *reader, const es_token *token, const char *text, size_t n, const char **name);

/* The elements of a list "a,b,c", one after the other. */
typedef struct es_pieces {
    const char *at, *end;
    bool over;
} es_pieces;
es_pieces es_pieces_of(const char *text, size_t n);
bool es_next_piece(es_pieces *pieces, const char **piece, size_t *n);
/* Lists: layers, losses, swaps. */
bool es_list_field_read(es_reader *reader, const es_field *field, const es_token *token, void *item);

/* Whether a field says what the fresh item says, so that writing may leave it out. */
bool es_field_equal(const es_field *field, const void *a, const void *b);
/* The value alone, without key. */
void es_field_write(const es_field *field, const void *item, earshot_text *text);

/* The shortest text with a unit that reads back to the same double. */
enum { ES_QUANTITY_TEXT = 48 };
void es_quantity_write(char buffer[ES_QUANTITY_TEXT], es_dimension dimension, double value);
/* What a dimension is called in a message: "a length". */
const char *es_dimension_noun(es_dimension dimension);

#endif
