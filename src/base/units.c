/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/units.h"

#include <string.h>

#include "base/number.h"

typedef struct unit {
    es_dimension dimension;
    const char *name;
    double scale;
} unit;

/* The first unit of a dimension is what a bare number means. */
static const unit UNITS[] = {
    {ES_LENGTH, "m", 1.0},      {ES_LENGTH, "cm", 0.01},    {ES_LENGTH, "mm", 0.001},   {ES_LENGTH, "ft", 0.3048},
    {ES_LENGTH, "in", 0.0254},  {ES_LEVEL, "dBm", 1.0},     {ES_RATIO, "dB", 1.0},      {ES_GAIN, "dBi", 1.0},
    {ES_FREQUENCY, "MHz", 1e6}, {ES_FREQUENCY, "kHz", 1e3}, {ES_FREQUENCY, "GHz", 1e9}, {ES_FREQUENCY, "Hz", 1.0},
    {ES_SHARE, "", 1.0},        {ES_SHARE, "%", 0.01},      {ES_TIME, "s", 1.0},        {ES_TIME, "ms", 0.001},
    {ES_CURRENT, "A", 1.0},     {ES_CURRENT, "mA", 0.001},  {ES_PLAIN, "", 1.0},
};
enum { N_UNITS = sizeof UNITS / sizeof UNITS[0] };

static const unit *find_unit(es_dimension dimension, const char *name, size_t n)
{
    for (size_t i = 0; i < N_UNITS; i++) {
        if (UNITS[i].dimension != dimension) continue;
        if (n == 0 || (strlen(UNITS[i].name) == n && memcmp(UNITS[i].name, name, n) == 0)) return &UNITS[i];
    }
    return NULL;
}

/* Scaling by a power of ten: dividing by the exact inverse gives the double nearest to what was written
 * (102 mm -> 0.102, which 102 * 0.001 misses). */
static double scaled(double number, double scale)
{
    if (scale == 0.01) return number / 100.0;
    if (scale == 0.001) return number / 1000.0;
    return number * scale;
}

int es_quantity_read(const char *text, size_t n, es_dimension dimension, double *value, size_t *at)
{
    double number;
    size_t used = es_number_read(text, n, &number);
    *at = 0;
    if (!used) return 1;
    while (used < n && text[used] == ' ') used++;
    *at = used;
    const unit *u = find_unit(dimension, text + used, n - used);
    if (!u) return 2;
    *value = scaled(number, u->scale);
    return 0;
}

const char *es_dimension_units(es_dimension dimension)
{
    switch (dimension) {
    case ES_LENGTH: return "m, cm, mm, ft or in";
    case ES_LEVEL: return "dBm";
    case ES_RATIO: return "dB";
    case ES_GAIN: return "dBi";
    case ES_FREQUENCY: return "MHz, kHz, GHz or Hz";
    case ES_SHARE: return "%";
    case ES_TIME: return "s or ms";
    case ES_CURRENT: return "A or mA";
    case ES_PLAIN: break;
    }
    return "no unit";
}
