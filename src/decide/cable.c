/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decide/cable.h"

#include <math.h>

/* Largest DC resistance of plain copper at 20 degrees C, ohm/km, IEC 60228 / DIN VDE 0295. 0.22 mm2 stands in DIN VDE
 * 0295 alone; 0.5 to 1.0 mm2 as three published tables of IEC 60228 agree; 1.5 and 2.5 mm2 from memory. */
static const struct {
    double section_mm2, solid, flexible;
} TABLE[] = {
    {0.22, 96.0, NAN}, {0.5, 36.0, 39.0}, {0.75, 24.5, 26.0}, {1.0, 18.1, 19.5}, {1.5, 12.1, 13.3}, {2.5, 7.41, 7.98},
};
enum { N_SECTIONS = sizeof TABLE / sizeof TABLE[0] };

static const double COPPER_PER_K = 0.00393; /* temperature coefficient at 20 degrees C; from memory */

size_t es_cable_sections(void)
{
    return N_SECTIONS;
}

double es_cable_section_mm2(size_t index)
{
    return index < N_SECTIONS ? TABLE[index].section_mm2 : NAN;
}

double es_cable_ohm_per_km(double section_mm2, es_conductor conductor)
{
    for (size_t i = 0; i < N_SECTIONS; i++)
        if (fabs(TABLE[i].section_mm2 - section_mm2) < 1e-9)
            return conductor == ES_CONDUCTOR_FLEXIBLE ? TABLE[i].flexible : TABLE[i].solid;
    return NAN;
}

double es_cable_ohm_per_km_at(double section_mm2, es_conductor conductor, double temperature_c)
{
    if (!(temperature_c >= -40.0 && temperature_c <= 90.0)) return NAN;
    return es_cable_ohm_per_km(section_mm2, conductor) * (1.0 + COPPER_PER_K * (temperature_c - 20.0));
}

static bool is_fine(const es_cable_run *run)
{
    return run->length_m >= 0.0 && run->length_m <= 1e5 && run->current_a >= 0.0 && run->current_a <= 100.0 &&
           run->supply_v > 0.0 && run->supply_v <= 100.0 && run->least_v >= 0.0 && run->least_v <= run->supply_v;
}

bool es_cable_try(const es_cable_run *run, double section_mm2, es_cable *cable)
{
    const double ohm = es_cable_ohm_per_km_at(section_mm2, run->conductor, run->temperature_c);
    if (!is_fine(run) || isnan(ohm)) return false;
    const double drop = 2.0 * run->length_m * run->current_a * ohm / 1000.0; /* there and back */
    const double far = run->supply_v - drop;
    *cable = (es_cable){section_mm2, ohm, drop, far, far >= run->least_v};
    return true;
}

bool es_cable_choose(const es_cable_run *run, double first_mm2, es_cable *cable)
{
    bool tried = false;
    for (size_t i = 0; i < N_SECTIONS; i++) {
        if (TABLE[i].section_mm2 < first_mm2 - 1e-9 || !es_cable_try(run, TABLE[i].section_mm2, cable)) continue;
        tried = true;
        if (cable->serves) break;
    }
    return tried;
}

double es_cable_longest_m(const es_cable_run *run, double section_mm2)
{
    const double ohm = es_cable_ohm_per_km_at(section_mm2, run->conductor, run->temperature_c);
    if (!is_fine(run) || isnan(ohm)) return NAN;
    return (run->supply_v - run->least_v) * 1000.0 / (2.0 * run->current_a * ohm);
}
