/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings say of a link that was not read: the conditional normal. docs/model/residuals.md */
#ifndef ES_POSTERIOR_H
#define ES_POSTERIOR_H

#include "propagation/model.h"
#include "survey/residual.h"

typedef struct es_posterior {
    const es_structure *structure; /* of the corrected site */
    size_t n, p, first_material;
    es_observation *row; /* [n] */
    es_solution solution;
    es_hyper hyper;
    size_t *material; /* [n_materials] of the plan, in the order of the parameters */
    size_t n_materials;
    double *unmet_db; /* [structure->n_materials] spread of a material that no reading met; 0 of the others */
} es_posterior;

/* A link seen through the posterior. Arrays in one block; es_view_clear. */
typedef struct es_view {
    es_link_point link;
    double mean_db; /* to be added to the level */
    double material_sigma_db, left_sigma_db;
    double *whitened; /* [n] L^-1 k */
    double *q;        /* [p] x - X^T C^-1 k */
    double *unmet;    /* [structure->n_materials] weights of materials that no reading met, times their spread */
    double *block;
} es_view;

/* Look at the link between two places; sigma_db is what the model states for itself there.
 * EARSHOT_OK, EARSHOT_MEMORY, EARSHOT_ARGUMENT. Any thread. */
earshot_status es_view_at(const es_posterior *posterior, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                          double sigma_db, es_view *view);
void es_view_clear(es_view *view);
/* Covariance of the levels of two links, dB squared. */
double es_view_covariance(const es_posterior *posterior, const es_view *a, const es_view *b);

/* earshot_adjust: the level of every link as the readings have it. context: an es_posterior. */
earshot_status es_posterior_adjust(const void *context, double frequency_hz, earshot_vec3 source, earshot_vec3 point,
                                   earshot_loss *loss);

void es_posterior_free(es_posterior *posterior);

#endif
