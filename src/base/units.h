/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities with units, converted once, at the edge. */
#ifndef ES_UNITS_H
#define ES_UNITS_H

#include <stdbool.h>
#include <stddef.h>

#define ES_LIGHT_M_S 299792458.0
#define ES_PI 3.14159265358979323846

typedef enum es_dimension {
    ES_LENGTH,    /* m (default), cm, mm, ft, in      -> metres */
    ES_LEVEL,     /* dBm (default)                     -> dBm */
    ES_RATIO,     /* dB (default)                      -> dB */
    ES_GAIN,      /* dBi (default)                     -> dBi */
    ES_FREQUENCY, /* MHz (default), kHz, GHz, Hz       -> hertz */
    ES_SHARE,     /* % or a plain number from 0 to 1   -> 0 to 1 */
    ES_TIME,      /* s (default), ms                   -> seconds */
    ES_CURRENT,   /* A (default), mA                   -> amperes */
    ES_PLAIN      /* no unit */
} es_dimension;

/* Read a number and its unit, which may be left out, from all of text[0..n). Units are written with or without a
 * space; case matters as in SI (mW is not MW). Returns 0 when read; else 1: not a number, 2: unit does not fit;
 * *at is then the offset of what is wrong. */
int es_quantity_read(const char *text, size_t n, es_dimension dimension, double *value, size_t *at);
/* The units that fit, for a message: "m, cm, mm, ft or in". */
const char *es_dimension_units(es_dimension dimension);

#endif
