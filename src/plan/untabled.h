/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Statements whose fields no table can describe. Each reads the line in hand. */
#ifndef ES_UNTABLED_H
#define ES_UNTABLED_H

typedef struct es_reader es_reader;

void es_read_plan(es_reader *reader);
void es_read_band(es_reader *reader);
void es_read_capacity(es_reader *reader);

#endif
