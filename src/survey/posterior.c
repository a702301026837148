/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/posterior.h"

#include <math.h>
#include <stdlib.h>

#include "survey/matrix.h"
#include "survey/work.h"

void es_posterior_free(es_posterior *posterior)
{
    if (!posterior) return;
    es_solution_clear(&posterior->solution);
    free(posterior->row);
    free(posterior->material);
    free(posterior->unmet_db);
    free(posterior);
}

void es_view_clear(es_view *view)
{
    free(view->block);
    *view = (es_view){0};
}

static double distance_m(earshot_vec3 a, earshot_vec3 b)
{
    return hypot(hypot(a.x_m - b.x_m, a.y_m - b.y_m), a.z_m - b.z_m);
}

/* Which end is the receiver's: the one nearer to a receiver that was read from. One choice a link, so that it does not
 * matter from which end the model looks at it. */
static es_link_point orient(const es_posterior *p, double frequency_hz, earshot_vec3 a, earshot_vec3 b, double sigma_db)
{
    double to_a = INFINITY, to_b = INFINITY;
    for (size_t i = 0; i < p->n; i++) {
        to_a = fmin(to_a, distance_m(p->row[i].link.far, a));
        to_b = fmin(to_b, distance_m(p->row[i].link.far, b));
    }
    const bool far_is_a = to_a <= to_b;
    return (es_link_point){far_is_a ? b : a, far_is_a ? a : b, frequency_hz, sigma_db};
}

/* The straight line's weights, in the order of the parameters: a dB more loss is a dB less level. */
static void fill_weights(const es_posterior *p, es_view *view)
{
    double *weight = view->unmet;
    view->q[ES_OFFSET] = 1.0;
    for (size_t i = 0; i < p->n_materials; i++) view->q[p->first_material + i] = -weight[p->material[i]];
    for (size_t m = 0; m < p->structure->n_materials; m++) weight[m] *= p->unmet_db[m];
}

static void condition(const es_posterior *p, es_view *view)
{
    for (size_t i = 0; i < p->n; i++) {
        const double k = es_residual_covariance(&p->row[i].link, &view->link, p->hyper);
        view->whitened[i] = k;
        view->mean_db += k * p->solution.alpha[i];
        for (size_t j = 0; j < p->p; j++) view->q[j] -= p->solution.cx[i * p->p + j] * k;
    }
    es_solve_lower(p->solution.l, p->n, view->whitened);
    const double own = es_residual_covariance(&view->link, &view->link, p->hyper);
    view->left_sigma_db = sqrt(fmax(0.0, own - es_dot(view->whitened, view->whitened, p->n)));
    const double met = es_bilinear(view->q, p->solution.covariance, view->q, p->p);
    view->material_sigma_db = sqrt(fmax(0.0, met) + es_dot(view->unmet, view->unmet, p->structure->n_materials));
}

earshot_status es_view_at(const es_posterior *posterior, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                          double sigma_db, es_view *view)
{
    const es_posterior *p = posterior;
    *view = (es_view){.link = orient(p, frequency_hz, a, b, sigma_db)};
    view->block = calloc(p->n + p->p + p->structure->n_materials + 1, sizeof *view->block);
    if (!view->block) return EARSHOT_MEMORY;
    view->whitened = view->block;
    view->q = view->whitened + p->n;
    view->unmet = view->q + p->p;
    const earshot_status status = es_direct_weights(p->structure, frequency_hz, a, b, view->unmet);
    if (status) {
        es_view_clear(view);
        return status;
    }
    view->mean_db = p->solution.theta[ES_OFFSET];
    fill_weights(p, view);
    condition(p, view);
    return EARSHOT_OK;
}

double es_view_covariance(const es_posterior *posterior, const es_view *a, const es_view *b)
{
    const es_posterior *p = posterior;
    return es_residual_covariance(&a->link, &b->link, p->hyper) - es_dot(a->whitened, b->whitened, p->n) +
           es_bilinear(a->q, p->solution.covariance, b->q, p->p) +
           es_dot(a->unmet, b->unmet, p->structure->n_materials);
}

earshot_status es_posterior_adjust(const void *context, double frequency_hz, earshot_vec3 source, earshot_vec3 point,
                                   earshot_loss *loss)
{
    es_view view;
    const earshot_status status = es_view_at(context, frequency_hz, source, point, loss->model_sigma_db, &view);
    if (status) return status;
    loss->loss_db -= view.mean_db;
    loss->material_sigma_db = view.material_sigma_db;
    loss->model_sigma_db = view.left_sigma_db;
    es_view_clear(&view);
    return EARSHOT_OK;
}
