/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where in the text a field of a statement stands. Statements keep only their own place; the line is cut up again. */
#ifndef ES_PLACE_H
#define ES_PLACE_H

#include "plan/reader.h"

/* The value of key=, or the statement if it is not given. These replace reader->tokens. */
earshot_place es_key_place(es_reader *reader, earshot_place statement, const char *key);
/* The i-th element of a list given as key=a,b,c. */
earshot_place es_element_place(es_reader *reader, earshot_place statement, const char *key, size_t i);
/* The i-th positional field behind the keyword, not counting a quoted label; the statement if there is none. */
earshot_place es_positional_place(es_reader *reader, earshot_place statement, size_t i);

#endif
