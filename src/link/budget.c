/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The link budget of both directions, and what of its margin can be depended on. docs/model/link-budget.md */
#include <gsl/gsl_cdf.h>
#include <math.h>

#include "base/number.h"
#include "earshot/link.h"

static const double LARGEST_RICE_K = 1e6; /* beyond it nothing fades */

static bool all_finite(const double *value, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(value[i])) return false;
    return true;
}

static bool is_station(const earshot_station *s)
{
    return s && s->radio && isfinite(s->mounting_db) && isfinite(s->body_db) && isfinite(s->radio->gain_dbi) &&
           !isinf(s->radio->erp_dbm) && !isinf(s->radio->sensitivity_dbm);
}

static bool is_loss(const earshot_loss *loss)
{
    if (!loss) return false;
    const double value[] = {loss->distance_m, loss->free_space_db, loss->loss_db, loss->material_sigma_db,
                            loss->model_sigma_db};
    return all_finite(value, sizeof value / sizeof value[0]) && loss->material_sigma_db >= 0.0 &&
           loss->model_sigma_db >= 0.0 && loss->rice_k >= 0.0;
}

static bool sends(const earshot_radio *radio)
{
    return !isnan(radio->erp_dbm);
}

static bool receives(const earshot_radio *radio)
{
    return !isnan(radio->sensitivity_dbm);
}

/* Largest gain of an antenna's pattern: 1.5 of a short element, 1.64 of a half-wave dipole. */
static double best_dbi(earshot_antenna antenna)
{
    if (antenna == EARSHOT_ANTENNA_ISOTROPIC) return 0.0;
    return 10.0 * log10(antenna >= EARSHOT_ANTENNA_DIPOLE_VERTICAL ? 1.64 : 1.5);
}

static earshot_direction judge_direction(const earshot_radio *from, const earshot_radio *to, double lost_db,
                                         double frequency_hz)
{
    earshot_direction d = {.used = true, .erp_dbm = from->erp_dbm, .gain_dbi = to->gain_dbi};
    d.eirp_dbm = d.erp_dbm + EARSHOT_DIPOLE_DB;
    d.level_dbm = d.eirp_dbm + d.gain_dbi - lost_db;
    d.noise_dbm = earshot_noise_floor_dbm(to, frequency_hz);
    d.threshold_dbm = earshot_threshold_dbm(to, frequency_hz);
    d.margin_db = es_round_centi(d.level_dbm - d.threshold_dbm);
    d.noise_extrapolated = !isnan(d.noise_dbm) && earshot_noise_extrapolated(to->noise, frequency_hz);
    return d;
}

static double worse_margin(const earshot_link *link)
{
    if (!link->out.used) return link->back.margin_db;
    if (!link->back.used) return link->out.margin_db;
    return fmin(link->out.margin_db, link->back.margin_db);
}

/* Fading and the log-normal part are independent, and their depths at one confidence are added as their squares: an
 * approximation that we compared with full-wave fields (docs/model/fading.md). */
static void allow_for_doubt(earshot_link *link, double confidence)
{
    const double deviations = gsl_cdf_ugaussian_Pinv(confidence);
    link->uncertainty_db = hypot(link->loss.material_sigma_db, link->loss.model_sigma_db);
    link->fading_db = earshot_fading_depth_db(fmin(link->loss.rice_k, LARGEST_RICE_K), confidence);
    link->allowance_db = hypot(link->fading_db, deviations * link->uncertainty_db);
    link->dependable_db = es_round_centi(link->margin_db - link->allowance_db);
}

earshot_status earshot_link_judge(const earshot_station *device, const earshot_station *receiver,
                                  const earshot_loss *loss, double frequency_hz, earshot_need need, earshot_link *link)
{
    if (!link || !is_station(device) || !is_station(receiver) || !is_loss(loss)) return EARSHOT_ARGUMENT;
    if (!(frequency_hz > 0.0) || !isfinite(frequency_hz) || !isfinite(need.margin_db)) return EARSHOT_ARGUMENT;
    if (!(need.confidence >= 0.5 && need.confidence <= 0.9999)) return EARSHOT_ARGUMENT;
    const earshot_radio *near = device->radio, *far = receiver->radio;
    const bool out = sends(near) && receives(far), answers = sends(far) && receives(near);
    const bool back = answers && (!out || (near->two_way && far->two_way));
    if (!out && !back) return EARSHOT_ARGUMENT;
    earshot_link made = {.loss = *loss,
                         .mounting_db = device->mounting_db + receiver->mounting_db,
                         .body_db = device->body_db + receiver->body_db,
                         .pattern_db = best_dbi(near->antenna) + best_dbi(far->antenna)};
    const double lost_db = loss->loss_db + made.pattern_db + made.mounting_db + made.body_db;
    if (out) made.out = judge_direction(near, far, lost_db, frequency_hz);
    if (back) made.back = judge_direction(far, near, lost_db, frequency_hz);
    made.margin_db = worse_margin(&made);
    if (!isfinite(made.margin_db)) return EARSHOT_ARGUMENT; /* a radio made by hand, with infinities in it */
    allow_for_doubt(&made, need.confidence);
    made.meets = made.dependable_db >= need.margin_db;
    *link = made;
    return EARSHOT_OK;
}
