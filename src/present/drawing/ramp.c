/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/drawing/ramp.h"

#include <math.h>

/* The ends, in CIE L*a*b* under D65. Chosen by us inside the gamut of sRGB; the tests hold them to it. */
static const double DARK[3] = {17.0, 8.0, -32.0}, BRIGHT[3] = {92.0, -8.0, 64.0};

/* The inverse of the cube root with its straight foot: CIE 15, 8.2.1. */
static double uncube(double f)
{
    const double foot = 6.0 / 29.0;
    return f > foot ? f * f * f : 3.0 * foot * foot * (f - 4.0 / 29.0);
}

/* IEC 61966-2-1: linear light to the value stored. */
static double encode(double linear)
{
    if (!(linear > 0.0)) return 0.0;
    const double value = linear <= 0.0031308 ? 12.92 * linear : 1.055 * pow(linear, 1.0 / 2.4) - 0.055;
    return value > 1.0 ? 1.0 : value;
}

es_colour es_ramp_at(double share)
{
    const double t = share > 0.0 ? (share < 1.0 ? share : 1.0) : 0.0;
    const double l = DARK[0] + t * (BRIGHT[0] - DARK[0]), a = DARK[1] + t * (BRIGHT[1] - DARK[1]),
                 b = DARK[2] + t * (BRIGHT[2] - DARK[2]);
    const double fy = (l + 16.0) / 116.0;
    /* White point D65 and the matrix of IEC 61966-2-1. */
    const double x = 0.9505 * uncube(fy + a / 500.0), y = uncube(fy), z = 1.0890 * uncube(fy - b / 200.0);
    return (es_colour){encode(3.2406 * x - 1.5372 * y - 0.4986 * z), encode(-0.9689 * x + 1.8758 * y + 0.0415 * z),
                       encode(0.0557 * x - 0.2040 * y + 1.0570 * z)};
}

es_colour es_ramp_of_margin(double dependable_db)
{
    return es_ramp_at((dependable_db - ES_RAMP_LOW_DB) / (ES_RAMP_HIGH_DB - ES_RAMP_LOW_DB));
}
