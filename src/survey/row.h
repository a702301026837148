/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row of the readings: fields to values, every mistake with its place. */
#ifndef ES_ROW_H
#define ES_ROW_H

#include "survey/columns.h"

typedef struct es_row_reader {
    const earshot_plan *plan;
    es_report *report;
    struct es_arena *arena; /* for notes */
    es_columns columns;
    bool memory_out;
} es_row_reader;

/* false when the row has a mistake, which was reported. */
bool es_row_read(es_row_reader *reader, const es_csv_row *row, earshot_reading *reading);

#endif
