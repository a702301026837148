/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values of fields as text, and whether two of them say the same. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "plan/fields.h"

/* Units to try for a dimension, the most readable first. The last has scale 1, which always reads back exactly. */
typedef struct writing {
    const char *unit;
    double divisor;
} writing;

static const writing *writings(es_dimension dimension, double value)
{
    static const writing METRE[] = {{"m", 1}}, MILLIMETRE[] = {{"mm", 0.001}, {"m", 1}}, DBM[] = {{"dBm", 1}},
                         DB[] = {{"dB", 1}}, DBI[] = {{"dBi", 1}}, MEGAHERTZ[] = {{"MHz", 1e6}, {"Hz", 1}},
                         KILOHERTZ[] = {{"kHz", 1e3}, {"Hz", 1}}, SHARE[] = {{"%", 0.01}, {"", 1}},
                         SECOND[] = {{"s", 1}}, AMPERE[] = {{"A", 1}}, PLAIN[] = {{"", 1}};
    switch (dimension) {
    case ES_LENGTH: return fabs(value) < 0.01 && value != 0 ? MILLIMETRE : METRE;
    case ES_LEVEL: return DBM;
    case ES_RATIO: return DB;
    case ES_GAIN: return DBI;
    case ES_FREQUENCY: return value < 1e6 ? KILOHERTZ : MEGAHERTZ;
    case ES_SHARE: return SHARE;
    case ES_TIME: return SECOND;
    case ES_CURRENT: return AMPERE;
    case ES_PLAIN: break;
    }
    return PLAIN;
}

/* Dividing may give 95.00000000000001 for 95: twelve digits are tried before all of them. */
static bool reads_back(char buffer[ES_QUANTITY_TEXT], es_dimension dimension, const writing *w, double value)
{
    char number[32];
    double back;
    size_t at;
    es_format(number, sizeof number, "%.12g", value / w->divisor);
    es_format(buffer, ES_QUANTITY_TEXT, "%s%s", number, w->unit);
    if (es_quantity_read(buffer, strlen(buffer), dimension, &back, &at) == 0 && back == value) return true;
    es_number_write(number, sizeof number, value / w->divisor);
    es_format(buffer, ES_QUANTITY_TEXT, "%s%s", number, w->unit);
    return es_quantity_read(buffer, strlen(buffer), dimension, &back, &at) == 0 && back == value;
}

void es_quantity_write(char buffer[ES_QUANTITY_TEXT], es_dimension dimension, double value)
{
    const writing *w = writings(dimension, value);
    while (!reads_back(buffer, dimension, w, value) && w->divisor != 1) w++;
}

static void write_quantity(earshot_text *text, es_dimension dimension, double value)
{
    char buffer[ES_QUANTITY_TEXT];
    es_quantity_write(buffer, dimension, value);
    es_text_add(text, buffer);
}

static void write_point(earshot_text *text, earshot_point p)
{
    char number[32];
    es_number_write(number, sizeof number, p.x_m);
    es_text_add(text, number);
    es_number_write(number, sizeof number, p.y_m);
    es_text_format(text, ",%s", number);
}

static void write_points(earshot_text *text, const earshot_point *p, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (i) es_text_add_char(text, ' ');
        write_point(text, p[i]);
    }
}

static void write_layers(earshot_text *text, const earshot_layer *layer, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        es_text_format(text, "%s%s:", i ? "," : "", layer[i].electrical);
        write_quantity(text, ES_LENGTH, layer[i].thickness_m);
    }
}

static void write_losses(earshot_text *text, const earshot_loss_entry *loss, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (i) es_text_add_char(text, ',');
        write_quantity(text, ES_FREQUENCY, loss[i].frequency_hz);
        es_text_add_char(text, ':');
        write_quantity(text, ES_RATIO, loss[i].loss_db);
    }
}

static void write_swaps(earshot_text *text, const earshot_swap *swap, size_t n)
{
    for (size_t i = 0; i < n; i++) es_text_format(text, "%s%s:%s", i ? "," : "", swap[i].from, swap[i].to);
}

static void write_quoted(earshot_text *text, const char *string)
{
    es_text_add_char(text, '"');
    for (; *string; string++) {
        if (*string == '"' || *string == '\\') es_text_add_char(text, '\\');
        es_text_add_char(text, *string);
    }
    es_text_add_char(text, '"');
}

static const char *word_of(const es_choice *choice, unsigned value)
{
    while (choice->word && choice->value != value) choice++;
    return choice->word ? choice->word : "";
}

/* The members of an item that a field is kept in. */
static const char *string_at(const void *item, const es_field *field)
{
    return *(const char *const *)es_member(item, field->at);
}

static size_t count_at(const void *item, const es_field *field)
{
    return *(const size_t *)es_member(item, field->count_at);
}

static const void *array_at(const void *item, const es_field *field)
{
    const void *array;
    memcpy(&array, es_member(item, field->at), sizeof array);
    return array;
}

void es_field_write(const es_field *field, const void *item, earshot_text *text)
{
    const void *member = es_member(item, field->at);
    switch (field->type) {
    case ES_FIELD_NAME:
    case ES_FIELD_REFERENCE: es_text_add(text, string_at(item, field)); break;
    case ES_FIELD_GROUND: es_text_add(text, string_at(item, field) ? string_at(item, field) : "none"); break;
    case ES_FIELD_TEXT:
    case ES_FIELD_LABEL: write_quoted(text, string_at(item, field)); break;
    case ES_FIELD_QUANTITY: write_quantity(text, field->dimension, *(const double *)member); break;
    case ES_FIELD_COUNT: es_text_format(text, "%u", *(const unsigned *)member); break;
    case ES_FIELD_FLAG: es_text_add(text, *(const bool *)member ? "yes" : "no"); break;
    case ES_FIELD_CHOICE: es_text_add(text, word_of(field->choice, *(const unsigned *)member)); break;
    case ES_FIELD_POINT: write_point(text, *(const earshot_point *)member); break;
    case ES_FIELD_POINTS: write_points(text, array_at(item, field), count_at(item, field)); break;
    case ES_FIELD_LAYERS: write_layers(text, array_at(item, field), count_at(item, field)); break;
    case ES_FIELD_LOSSES: write_losses(text, array_at(item, field), count_at(item, field)); break;
    case ES_FIELD_SWAPS: write_swaps(text, array_at(item, field), count_at(item, field)); break;
    }
}

static bool same_string(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

/* Not stated equals not stated. */
static bool same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool same_point(earshot_point a, earshot_point b)
{
    return a.x_m == b.x_m && a.y_m == b.y_m;
}

static bool same_element(es_field_type type, const void *a, const void *b, size_t i)
{
    if (type == ES_FIELD_POINTS) return same_point(((const earshot_point *)a)[i], ((const earshot_point *)b)[i]);
    if (type == ES_FIELD_LAYERS) {
        const earshot_layer *p = a, *q = b;
        return same_string(p[i].electrical, q[i].electrical) && p[i].thickness_m == q[i].thickness_m;
    }
    if (type == ES_FIELD_LOSSES) {
        const earshot_loss_entry *p = a, *q = b;
        return p[i].frequency_hz == q[i].frequency_hz && p[i].loss_db == q[i].loss_db;
    }
    const earshot_swap *p = a, *q = b;
    return same_string(p[i].from, q[i].from) && same_string(p[i].to, q[i].to);
}

static bool same_array(const es_field *field, const void *a, const void *b)
{
    const size_t n = count_at(a, field);
    if (n != count_at(b, field)) return false;
    for (size_t i = 0; i < n; i++) {
        if (!same_element(field->type, array_at(a, field), array_at(b, field), i)) return false;
    }
    return true;
}

bool es_field_equal(const es_field *field, const void *a, const void *b)
{
    const void *p = es_member(a, field->at), *q = es_member(b, field->at);
    switch (field->type) {
    case ES_FIELD_NAME:
    case ES_FIELD_REFERENCE:
    case ES_FIELD_GROUND:
    case ES_FIELD_TEXT:
    case ES_FIELD_LABEL: return same_string(string_at(a, field), string_at(b, field));
    case ES_FIELD_QUANTITY: return same_number(*(const double *)p, *(const double *)q);
    case ES_FIELD_COUNT:
    case ES_FIELD_CHOICE: return *(const unsigned *)p == *(const unsigned *)q;
    case ES_FIELD_FLAG: return *(const bool *)p == *(const bool *)q;
    case ES_FIELD_POINT: return same_point(*(const earshot_point *)p, *(const earshot_point *)q);
    case ES_FIELD_POINTS:
    case ES_FIELD_LAYERS:
    case ES_FIELD_LOSSES:
    case ES_FIELD_SWAPS: return same_array(field, a, b);
    }
    return false;
}
