/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns that readings may have, and which of them a file has. */
#ifndef ES_COLUMNS_H
#define ES_COLUMNS_H

#include "earshot/survey.h"
#include "plan/findings.h"
#include "survey/csv_rows.h"

typedef enum es_column_id {
    ES_COLUMN_DEVICE,
    ES_COLUMN_X,
    ES_COLUMN_Y,
    ES_COLUMN_Z,
    ES_COLUMN_STOREY,
    ES_COLUMN_RECEIVER,
    ES_COLUMN_BAND,
    ES_COLUMN_LEVEL,
    ES_COLUMN_DATE,
    ES_COLUMN_NOISE,
    ES_COLUMN_ATTENUATOR,
    ES_COLUMN_HEARD,
    ES_COLUMN_NOTE,
    ES_COLUMNS
} es_column_id;

typedef struct es_columns {
    int at[ES_COLUMNS];      /* which field of a row; -1: the file does not have it */
    size_t n;                /* fields of the header */
    earshot_level_unit unit; /* of a level that states none */
} es_columns;

/* Read the header. false: mistakes were added. */
bool es_columns_read(const es_csv_row *header, es_report *report, es_columns *columns);
/* The name of a column, for messages. */
const char *es_column_name(es_column_id column);
/* The place of a field in the text. */
earshot_place es_field_place(const es_csv_field *field);

#endif
