/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does 12 V still arrive at the far end of a cable? docs/model/cable.md has the sources. */
#ifndef ES_CABLE_H
#define ES_CABLE_H

#include <stdbool.h>
#include <stddef.h>

typedef enum es_conductor {
    ES_CONDUCTOR_SOLID,   /* IEC 60228 class 1 or 2: solid or stranded */
    ES_CONDUCTOR_FLEXIBLE /* class 5; not made below 0.5 mm2 in that standard */
} es_conductor;

/* Standard cross-sections, smallest first. */
size_t es_cable_sections(void);
double es_cable_section_mm2(size_t index);

/* Largest resistance of one conductor at 20 degrees C that the standard allows, and at another temperature.
 * @return ohm per km; NAN for a cross-section or class that is not in the table, or a temperature outside -40..90. */
double es_cable_ohm_per_km(double section_mm2, es_conductor conductor);
double es_cable_ohm_per_km_at(double section_mm2, es_conductor conductor, double temperature_c);

/* Lowest voltage at the supply's terminals and lowest at which a detector works; highest current that a supply line of
 * a panel is asked for is not checked here. */
#define ES_CABLE_SUPPLY_V 10.5  /* lead-acid battery at its cut-off; from memory */
#define ES_CABLE_DETECTOR_V 9.0 /* 12 V less 25 %; from memory */
#define ES_CABLE_WARM_C 40.0    /* of a cable in a warm roof space: common practice, no source */

typedef struct es_cable_run {
    double length_m; /* one way */
    double current_a;
    double temperature_c;
    double supply_v, least_v;
    es_conductor conductor;
} es_cable_run;

typedef struct es_cable {
    double section_mm2, ohm_per_km; /* of one conductor, at the run's temperature */
    double drop_v, far_v;
    bool serves; /* far_v >= least_v */
} es_cable;

/* One run with a chosen cross-section. false: an argument out of range; *cable is untouched. */
bool es_cable_try(const es_cable_run *run, double section_mm2, es_cable *cable);
/* The smallest standard cross-section, from first_mm2 up, that serves; if none does, the largest, with `serves` false.
 * false: an argument out of range. */
bool es_cable_choose(const es_cable_run *run, double first_mm2, es_cable *cable);
/* Longest run for which a cross-section serves, metres; NAN out of range. */
double es_cable_longest_m(const es_cable_run *run, double section_mm2);

#endif
