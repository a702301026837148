/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/columns.h"

#include <string.h>

#include "base/nearest.h"

typedef struct known {
    const char *name;
    es_column_id column;
    earshot_level_unit unit;
} known;

/* The first name of a column is the one that messages use. */
static const known KNOWN[] = {
    {"device", ES_COLUMN_DEVICE, EARSHOT_LEVEL_NONE},
    {"x", ES_COLUMN_X, EARSHOT_LEVEL_NONE},
    {"y", ES_COLUMN_Y, EARSHOT_LEVEL_NONE},
    {"z", ES_COLUMN_Z, EARSHOT_LEVEL_NONE},
    {"storey", ES_COLUMN_STOREY, EARSHOT_LEVEL_NONE},
    {"receiver", ES_COLUMN_RECEIVER, EARSHOT_LEVEL_NONE},
    {"band", ES_COLUMN_BAND, EARSHOT_LEVEL_NONE},
    {"level", ES_COLUMN_LEVEL, EARSHOT_LEVEL_DBM},
    {"level_dbm", ES_COLUMN_LEVEL, EARSHOT_LEVEL_DBM},
    {"level_db", ES_COLUMN_LEVEL, EARSHOT_LEVEL_MARGIN},
    {"level_scale", ES_COLUMN_LEVEL, EARSHOT_LEVEL_SCALE},
    {"date", ES_COLUMN_DATE, EARSHOT_LEVEL_NONE},
    {"noise", ES_COLUMN_NOISE, EARSHOT_LEVEL_NONE},
    {"attenuator", ES_COLUMN_ATTENUATOR, EARSHOT_LEVEL_NONE},
    {"heard", ES_COLUMN_HEARD, EARSHOT_LEVEL_NONE},
    {"note", ES_COLUMN_NOTE, EARSHOT_LEVEL_NONE},
};
enum { N_KNOWN = sizeof KNOWN / sizeof KNOWN[0], LONGEST = 32 };

const char *es_column_name(es_column_id column)
{
    size_t i = 0;
    while (KNOWN[i].column != column) i++;
    return KNOWN[i].name;
}

earshot_place es_field_place(const es_csv_field *field)
{
    return (earshot_place){.line = field->line, .column = field->column, .width = field->width};
}

static bool unknown_column(es_report *report, const es_csv_field *field)
{
    char shown[ES_SHOWN];
    es_nearest nearest = es_nearest_to(field->text, field->n);
    for (size_t i = 0; i < N_KNOWN; i++) es_nearest_offer(&nearest, KNOWN[i].name);
    earshot_error *e = es_mistake(report, EARSHOT_READINGS, es_field_place(field), "unknown column '%s'",
                                  es_show(shown, field->text, field->n));
    if (nearest.best)
        es_hint(e, "did you mean '%s'?", nearest.best);
    else
        es_hint(e, "columns are device (or x, y, z, storey), receiver, band, level, date, noise, attenuator, heard, "
                   "note");
    return false;
}

static bool add_column(const es_csv_field *field, size_t i, es_report *report, es_columns *columns)
{
    char name[LONGEST];
    if (field->n > LONGEST) return unknown_column(report, field);
    const size_t n = es_csv_value(field, name);
    for (size_t k = 0; k < N_KNOWN; k++) {
        if (strlen(KNOWN[k].name) != n || memcmp(KNOWN[k].name, name, n) != 0) continue;
        if (columns->at[KNOWN[k].column] >= 0) {
            es_hint(es_mistake(report, EARSHOT_READINGS, es_field_place(field), "a second column '%s'",
                               es_column_name(KNOWN[k].column)),
                    "keep one of them");
            return false;
        }
        columns->at[KNOWN[k].column] = (int)i;
        if (KNOWN[k].column == ES_COLUMN_LEVEL) columns->unit = KNOWN[k].unit;
        return true;
    }
    return unknown_column(report, field);
}

static bool has(const es_columns *columns, es_column_id column)
{
    return columns->at[column] >= 0;
}

/* Without these no row says anything. */
static bool check_together(const es_csv_row *header, es_report *report, const es_columns *columns)
{
    const bool point = has(columns, ES_COLUMN_X) && has(columns, ES_COLUMN_Y) && has(columns, ES_COLUMN_Z);
    const earshot_place place = es_field_place(&header->field[0]);
    if (!has(columns, ES_COLUMN_DEVICE) && !point) {
        es_hint(es_mistake(report, EARSHOT_READINGS, place, "no column says where the transmitter stood"),
                "give a column device, or x, y, z (and storey) of a test transmitter");
        return false;
    }
    if (!has(columns, ES_COLUMN_LEVEL) && !has(columns, ES_COLUMN_HEARD)) {
        es_hint(es_mistake(report, EARSHOT_READINGS, place, "no column says what was read"),
                "give a column level, or heard");
        return false;
    }
    return true;
}

bool es_columns_read(const es_csv_row *header, es_report *report, es_columns *columns)
{
    bool good = true;
    *columns = (es_columns){.n = header->n, .unit = EARSHOT_LEVEL_DBM};
    for (size_t i = 0; i < ES_COLUMNS; i++) columns->at[i] = -1;
    for (size_t i = 0; i < header->n; i++) good &= add_column(&header->field[i], i, report, columns);
    return good && check_together(header, report, columns);
}
