/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Appending to an earshot_text. */
#ifndef ES_TEXT_H
#define ES_TEXT_H

#include "earshot/present.h"

void es_text_add(earshot_text *text, const char *piece);
void es_text_add_bytes(earshot_text *text, const char *bytes, size_t n);
void es_text_add_char(earshot_text *text, char c);
/* printf in the C locale. */
void es_text_format(earshot_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Columns a UTF-8 text takes when every character is one column wide. */
size_t es_text_columns(const char *text);

#endif
