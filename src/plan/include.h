/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ES_INCLUDE_H
#define ES_INCLUDE_H

#include "plan/place.h"
#include "plan/reader.h"

/* Add a source, which takes source.owned over; when memory is out it is freed. */
bool es_add_source(es_reader *reader, es_source source);
void es_sources_clear(es_sources *sources);
/* Load the plan's own file as the first source; false, reported, when it cannot be read. */
bool es_load_plan(es_reader *reader, const char *path);
/* Whether a text in memory is short enough; reported. */
bool es_check_size(es_reader *reader, const char *name, size_t size);

#endif
