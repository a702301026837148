/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_DATE_H
#define ES_DATE_H

#include <stdbool.h>
#include <stddef.h>

/* YYYY-MM-DD (ISO 8601) of the years 1970 to 2199 as days since 1970-01-01. false: it is no such date. */
bool es_date_read(const char *text, size_t n, long *day);

#endif
