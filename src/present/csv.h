/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of comma-separated values after RFC 4180. */
#ifndef ES_CSV_H
#define ES_CSV_H

#include "earshot/present.h"

/* One field; the first of a row has no comma before it. Quoted where RFC 4180 asks for it; NULL is empty. */
void es_csv_text(earshot_text *text, bool first, const char *value);
/* A figure with so many decimals; empty where it is not a number. */
void es_csv_number(earshot_text *text, double value, int decimals);
void es_csv_end(earshot_text *text);

#endif
