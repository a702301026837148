/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a site, with its materials corrected or not, foretells of each reading. */
#ifndef ES_PREDICT_H
#define ES_PREDICT_H

#include "earshot/survey.h"

/* What does not change while materials do: the two ends of each reading. */
typedef struct es_ends {
    const earshot_plan *plan;
    const char *scene;
    earshot_model model;
    const earshot_readings *readings;
    earshot_station *near; /* [readings->n] the device or test transmitter */
    earshot_vec3 *far;     /* [readings->n] the receiver's place */
    size_t *group;         /* [readings->n] readings of one group share receiver and band */
    size_t *group_row;     /* [n_groups] a reading of each */
    size_t n_groups;
} es_ends;

/* One reading foretold. */
typedef struct es_foretold {
    double level_dbm;     /* that a reading shows on average, without attenuator */
    double threshold_dbm; /* with the noise that was measured, if it was */
    double model_sigma_db, fade_sigma_db;
} es_foretold;

/* Find the ends; the site is that of the plan as drawn. Frees nothing on failure: es_ends_clear always. */
earshot_status es_ends_find(const earshot_site *site, const earshot_readings *readings,
                            const earshot_calibrate_options *options, es_ends *ends, earshot_error *error);
void es_ends_clear(es_ends *ends);

/* Foretell all readings; foretold[readings->n]. */
earshot_status es_foretell(const es_ends *ends, const earshot_site *site, earshot_detail detail,
                           const earshot_watch *watch, es_foretold *foretold, earshot_error *error);

#endif
