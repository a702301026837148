/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_JSON_H
#define ES_JSON_H

#include <jansson.h>

/* A number rounded to so many decimals, null where it is not finite; a string, null for NULL. NULL: memory is out. */
json_t *es_json_number(double value, int decimals);
json_t *es_json_text(const char *value);

#endif
