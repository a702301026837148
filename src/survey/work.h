/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The work of one calibration, shared by the files that do it. */
#ifndef ES_WORK_H
#define ES_WORK_H

#include "survey/predict.h"
#include "survey/residual.h"
#include "survey/robust.h"

/* The parameters of the regression: the offset, then the two ends of a panel's scale if they are fitted, then one
 * correction a material. */
enum { ES_OFFSET = 0, ES_SCALE_LOW = 1, ES_SCALE_HIGH = 2 };

typedef struct es_work {
    const earshot_plan *plan;
    const earshot_readings *readings;
    const earshot_calibrate_options *options;
    const earshot_watch *watch;
    earshot_error *error;
    es_ends ends;
    size_t n; /* readings */

    /* Materials that may be corrected: those of the site whose loss is not certain and that some reading meets. */
    size_t *material; /* [n_materials] of the plan */
    size_t *met;      /* [n_materials] how many readings met each, by the plan as it was */
    size_t n_materials;
    double *slope;     /* [n][n_materials] change of a reading's level for 1 dB more loss: 0 or below, mostly */
    double *slope_at;  /* [n_materials] the corrections at which they were taken */
    double *model_at;  /* [n_materials] the corrections at which the model was asked last */
    double *stated_db; /* [n_materials] loss before, at the first band read */

    es_foretold *before, *now; /* [n]; now: model or, for small steps, its tangent */
    es_foretold *base, *moved; /* [n] both ends of a slope */
    double *model_dbm;         /* [n] levels when the model was asked last */

    size_t p, first_material;
    bool scale_fitted;
    double *theta, *prior_mean, *prior_sigma; /* [p] */
    double *x;                                /* [n][p] */
    es_observation *row;                      /* [n] */
    size_t n_places;

    double *place_variance, *noise_variance; /* [n] of sound readings */
    double *place_trust, *noise_trust;       /* [n] */
    double *latent_dbm;                      /* [n] where the level of a reading is thought to be */
    double noise_db;
    bool noise_estimated;

    es_hyper hyper;
    bool hyper_estimated;
    es_solution solution;
    es_left_out *left; /* [n] */
    double *value_dbm; /* [n] what a row measured, or the stand-in for a bound */
    double *block;     /* owns all double arrays */
} es_work;

/* ---- walls.c: sites with other materials ---- */

/* Find the materials to be corrected, with their slopes, from the site before. */
earshot_status es_walls_find(es_work *w, const earshot_site *before);
/* Foretell everything with the corrections in theta. The model is asked where those have moved, or always if `exact`;
 * between, its tangent serves. Slopes are taken anew where the corrections have moved further. */
earshot_status es_walls_foretell(es_work *w, bool exact);
/* Hold on to `now` as what the model says at theta. */
void es_walls_remember(es_work *w);
/* A site whose materials are corrected by theta, with these standard deviations as spreads (NULL: as they were). */
earshot_status es_walls_site(const es_work *w, const double *theta, const double *sigma, earshot_site **site);
/* Corrections by theta for material i: never more than takes the loss to 0. */
double es_walls_correction(const es_work *w, const double *theta, size_t i);

/* ---- observations.c: readings as rows of the regression ---- */

/* What the readings' places, noise and scale are before anything is estimated. */
void es_observations_start(es_work *w);
/* Fill row and x from what is foretold now. */
void es_observations_fill(es_work *w);
/* The level that a row measured, without attenuator; NAN of one that was only heard or not. */
double es_measured_dbm(const es_work *w, size_t i);
/* The level that is needed to be heard with the attenuator of a row. */
double es_needed_dbm(const es_work *w, size_t i);
/* Whether a row is a bound and no value. */
bool es_is_bound(const es_work *w, size_t i);
/* Distrust what does not fit. The largest change of a trust. */
double es_observations_distrust(es_work *w);

#endif
