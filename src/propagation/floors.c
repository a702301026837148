/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "propagation/model.h"

/* COST 231 Final Report (EUR 18957, 1999), section 4.7, multi-wall model: L = L_f k^((k+2)/(k+1) - b). The form is
 * cited from memory; the constant was read in two public programs that restate it. */
static const double FLOOR_B = 0.46;

double es_floor_factor(size_t k)
{
    if (!k) return 0.0;
    const double floors = (double)k;
    return pow(floors, (floors + 2.0) / (floors + 1.0) - FLOOR_B);
}

double es_floor_weight(size_t i)
{
    return es_floor_factor(i + 1) - es_floor_factor(i);
}
