/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/row.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/nearest.h"
#include "base/number.h"
#include "base/units.h"
#include "base/utf8.h"
#include "survey/date.h"

static const double SAME_BAND_HZ = 2e6; /* as a radio and the bands of a plan are matched */

/* What can be meant; wider than anything that is read, to catch a slip of the pen. */
static const double LOWEST_DBM = -200.0, HIGHEST_DBM = 40.0, LOWEST_DB = -60.0, HIGHEST_DB = 160.0;
static const double LARGEST_ATTENUATOR_DB = 120.0, FARTHEST_M = 100000.0, HIGHEST_M = 200.0;

enum { LONGEST_FIELD = 4096 };

/* A field as it was meant; empty if the file lacks the column. */
typedef struct value {
    const es_csv_field *field; /* NULL: no such column */
    char text[LONGEST_FIELD + 1];
    size_t n;
} value;

static bool too_long(es_row_reader *r, const es_csv_field *field)
{
    es_hint(es_mistake(r->report, EARSHOT_READINGS, es_field_place(field), "a field of %zu bytes", field->n),
            "at most %d are read", LONGEST_FIELD);
    return false;
}

static bool take(es_row_reader *r, const es_csv_row *row, es_column_id column, value *v)
{
    const int at = r->columns.at[column];
    v->field = at < 0 ? NULL : &row->field[at];
    v->n = 0;
    v->text[0] = '\0';
    if (!v->field) return true;
    if (v->field->n > LONGEST_FIELD) return too_long(r, v->field);
    v->n = es_csv_value(v->field, v->text);
    v->text[v->n] = '\0';
    return true;
}

static earshot_error *complain(es_row_reader *r, const value *v, const char *what)
{
    char shown[ES_SHOWN];
    return es_mistake(r->report, EARSHOT_READINGS, es_field_place(v->field), "%s '%s'", what,
                      es_show(shown, v->text, v->n));
}

/* A mistake of the row as a whole stands at its first field. */
static bool complain_row(es_row_reader *r, const es_csv_row *row, const char *what, const char *hint)
{
    es_hint(es_mistake(r->report, EARSHOT_READINGS, es_field_place(&row->field[0]), "%s", what), "%s", hint);
    return false;
}

/* A number with an optional unit between two bounds; an empty field leaves `out`. */
static bool read_quantity(es_row_reader *r, const es_csv_row *row, es_column_id column, es_dimension dimension,
                          double least, double most, double *out)
{
    value v;
    double read;
    size_t at;
    if (!take(r, row, column, &v)) return false;
    if (!v.n) return true;
    if (es_quantity_read(v.text, v.n, dimension, &read, &at)) {
        es_hint(complain(r, &v, es_column_name(column)), "a number with a decimal point, and its unit: %s",
                es_dimension_units(dimension));
        return false;
    }
    if (read < least || read > most) {
        es_hint(complain(r, &v, es_column_name(column)), "it lies between %g and %g", least, most);
        return false;
    }
    *out = read;
    return true;
}

/* ---- names ---- */

typedef const char *name_at(const earshot_plan *plan, size_t i);

static const char *device_name(const earshot_plan *plan, size_t i)
{
    return plan->device[i].name;
}

static const char *receiver_name(const earshot_plan *plan, size_t i)
{
    return plan->receiver[i].name;
}

static const char *storey_name(const earshot_plan *plan, size_t i)
{
    return plan->storey[i].name;
}

static bool find_name(es_row_reader *r, const value *v, const char *what, name_at *name, size_t n, size_t *found)
{
    es_nearest nearest = es_nearest_to(v->text, v->n);
    for (size_t i = 0; i < n; i++) {
        es_nearest_offer(&nearest, name(r->plan, i));
        if (strcmp(name(r->plan, i), v->text) != 0 || strlen(v->text) != v->n) continue;
        *found = i;
        return true;
    }
    char shown[ES_SHOWN];
    earshot_error *e = es_mistake(r->report, EARSHOT_READINGS, es_field_place(v->field), "the plan has no %s '%s'",
                                  what, es_show(shown, v->text, v->n));
    if (nearest.best) es_hint(e, "did you mean '%s'?", nearest.best);
    return false;
}

/* The one there is when the row does not say. */
static bool find_or_only(es_row_reader *r, const es_csv_row *row, es_column_id column, name_at *name, size_t n,
                         size_t *found)
{
    value v;
    if (!take(r, row, column, &v)) return false;
    if (v.n) return find_name(r, &v, es_column_name(column), name, n, found);
    *found = 0;
    if (n == 1) return true;
    return complain_row(r, row, column == ES_COLUMN_STOREY ? "which storey is not said" : "which receiver is not said",
                        n ? "the plan has several: name one" : "the plan has none");
}

/* ---- where ---- */

static bool read_device(es_row_reader *r, const value *v, earshot_reading *reading)
{
    size_t device;
    if (!find_name(r, v, "device", device_name, r->plan->n_devices, &device)) return false;
    const earshot_device *d = &r->plan->device[device];
    reading->device = (long)device;
    reading->at = (earshot_vec3){d->point.x_m, d->point.y_m, r->plan->storey[d->storey].level_m + d->at_m};
    return true;
}

static bool read_point(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    double x = NAN, y = NAN, z = NAN;
    size_t storey;
    if (!read_quantity(r, row, ES_COLUMN_X, ES_LENGTH, -FARTHEST_M, FARTHEST_M, &x) ||
        !read_quantity(r, row, ES_COLUMN_Y, ES_LENGTH, -FARTHEST_M, FARTHEST_M, &y) ||
        !read_quantity(r, row, ES_COLUMN_Z, ES_LENGTH, -HIGHEST_M, HIGHEST_M, &z))
        return false;
    if (isnan(x) || isnan(y) || isnan(z))
        return complain_row(r, row, "where the transmitter stood is not said", "state device, or all of x, y and z");
    if (!find_or_only(r, row, ES_COLUMN_STOREY, storey_name, r->plan->n_storeys, &storey)) return false;
    reading->device = EARSHOT_NONE;
    reading->at = (earshot_vec3){x, y, r->plan->storey[storey].level_m + z};
    return true;
}

static bool read_where(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    static const es_column_id POINT[] = {ES_COLUMN_X, ES_COLUMN_Y, ES_COLUMN_Z, ES_COLUMN_STOREY};
    value device, v;
    if (!take(r, row, ES_COLUMN_DEVICE, &device)) return false;
    if (!device.n) return read_point(r, row, reading);
    for (size_t i = 0; i < sizeof POINT / sizeof POINT[0]; i++) {
        if (!take(r, row, POINT[i], &v)) return false;
        if (!v.n) continue;
        es_hint(complain(r, &v, "a device and also"),
                "the plan says where the device is; leave device empty for a test transmitter");
        return false;
    }
    return read_device(r, &device, reading);
}

static bool read_band(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    const earshot_plan *plan = r->plan;
    double asked_hz = NAN, nearest_hz = SAME_BAND_HZ;
    if (!read_quantity(r, row, ES_COLUMN_BAND, ES_FREQUENCY, 1e6, 1e11, &asked_hz)) return false;
    reading->frequency_hz = plan->band_hz[0];
    if (isnan(asked_hz) && plan->n_bands == 1) return true;
    if (isnan(asked_hz)) return complain_row(r, row, "which band is not said", "the plan has several: state one");
    bool known = false;
    for (size_t i = 0; i < plan->n_bands; i++) {
        const double off_hz = fabs(plan->band_hz[i] - asked_hz);
        if (off_hz > nearest_hz) continue;
        known = true;
        nearest_hz = off_hz;
        reading->frequency_hz = plan->band_hz[i];
    }
    if (known) return true;
    value v;
    if (!take(r, row, ES_COLUMN_BAND, &v)) return false;
    es_hint(complain(r, &v, "a band that the plan does not have:"), "the plan's bands stand in its line 'band'");
    return false;
}

/* ---- what ---- */

static const struct {
    const char *name;
    earshot_level_unit unit;
} UNITS[] = {
    {"dBm", EARSHOT_LEVEL_DBM}, {"dB", EARSHOT_LEVEL_MARGIN}, {"%", EARSHOT_LEVEL_SCALE}, {"", EARSHOT_LEVEL_NONE}};

static bool unit_of(const char *name, size_t n, earshot_level_unit otherwise, earshot_level_unit *unit)
{
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        if (strlen(UNITS[i].name) != n || memcmp(UNITS[i].name, name, n) != 0) continue;
        *unit = UNITS[i].unit == EARSHOT_LEVEL_NONE ? otherwise : UNITS[i].unit;
        return true;
    }
    return false;
}

static bool is_within(earshot_level_unit unit, double level)
{
    if (unit == EARSHOT_LEVEL_DBM) return level >= LOWEST_DBM && level <= HIGHEST_DBM;
    if (unit == EARSHOT_LEVEL_MARGIN) return level >= LOWEST_DB && level <= HIGHEST_DB;
    return level >= 0.0 && level <= 100.0;
}

static bool read_level(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    value v;
    if (!take(r, row, ES_COLUMN_LEVEL, &v)) return false;
    reading->level = NAN;
    reading->unit = EARSHOT_LEVEL_NONE;
    if (!v.n) return true;
    size_t used = es_number_read(v.text, v.n, &reading->level);
    const bool number = used > 0;
    while (used < v.n && v.text[used] == ' ') used++;
    if (!number || !unit_of(v.text + used, v.n - used, r->columns.unit, &reading->unit)) {
        es_hint(complain(r, &v, "level"),
                "a number with a decimal point: in dBm, in dB above the threshold, or in %% of "
                "the panel's scale");
        return false;
    }
    if (is_within(reading->unit, reading->level)) return true;
    es_hint(complain(r, &v, "level"),
            reading->unit == EARSHOT_LEVEL_SCALE ? "a scale runs from 0 to 100" : "no receiver reads such a level");
    return false;
}

static bool read_heard(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    value v;
    if (!take(r, row, ES_COLUMN_HEARD, &v)) return false;
    const bool yes = strcmp(v.text, "yes") == 0, no = strcmp(v.text, "no") == 0;
    if (v.n && !yes && !no) {
        es_hint(complain(r, &v, "heard"), "yes or no");
        return false;
    }
    if (no && reading->unit != EARSHOT_LEVEL_NONE) {
        es_hint(complain(r, &v, "a level was read, and yet heard is"), "what is not heard has no level");
        return false;
    }
    if (!v.n && reading->unit == EARSHOT_LEVEL_NONE)
        return complain_row(r, row, "neither a level nor whether it was heard", "leave such a row out");
    reading->heard = !no;
    return true;
}

static bool read_date(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    value v;
    reading->day = EARSHOT_NO_DAY;
    if (!take(r, row, ES_COLUMN_DATE, &v)) return false;
    if (!v.n || es_date_read(v.text, v.n, &reading->day)) return true;
    es_hint(complain(r, &v, "date"), "year, month and day as 2026-03-14");
    return false;
}

/* A note may have been written in several lines. */
static void flatten(value *v)
{
    for (size_t i = 0; i < v->n; i++)
        if (strchr("\t\r\n", v->text[i]) && v->text[i]) v->text[i] = ' ';
}

static bool read_note(es_row_reader *r, const es_csv_row *row, earshot_reading *reading)
{
    value v;
    reading->note = NULL;
    if (!take(r, row, ES_COLUMN_NOTE, &v)) return false;
    if (!v.n) return true;
    flatten(&v);
    if (!es_utf8_is_line(v.text, v.n)) {
        es_hint(complain(r, &v, "note"), "text in UTF-8: save the file so, or leave the note out");
        return false;
    }
    reading->note = es_arena_string(r->arena, v.text, v.n);
    r->memory_out = !reading->note;
    return reading->note != NULL;
}

bool es_row_read(es_row_reader *reader, const es_csv_row *row, earshot_reading *reading)
{
    *reading = (earshot_reading){.line = row->field[0].line, .noise_dbm = NAN};
    return read_where(reader, row, reading) &&
           find_or_only(reader, row, ES_COLUMN_RECEIVER, receiver_name, reader->plan->n_receivers,
                        &reading->receiver) &&
           read_band(reader, row, reading) && read_level(reader, row, reading) && read_heard(reader, row, reading) &&
           read_date(reader, row, reading) &&
           read_quantity(reader, row, ES_COLUMN_NOISE, ES_LEVEL, LOWEST_DBM, 0.0, &reading->noise_dbm) &&
           read_quantity(reader, row, ES_COLUMN_ATTENUATOR, ES_RATIO, 0.0, LARGEST_ATTENUATOR_DB,
                         &reading->attenuator_db) &&
           read_note(reader, row, reading);
}
