/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/predict.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "coverage/share.h"
#include "survey/fade.h"

static earshot_status no_memory(earshot_error *error)
{
    return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
}

/* ---- ends ---- */

/* The radio that most devices have; of equals the first. */
static const char *commonest_radio(const earshot_plan *plan)
{
    const char *best = NULL;
    size_t most = 0;
    for (size_t i = 0; i < plan->n_radios; i++) {
        size_t n = 0;
        for (size_t d = 0; d < plan->n_devices; d++)
            n += plan->device[d].radio && strcmp(plan->device[d].radio, plan->radio[i].name) == 0;
        if (n <= most) continue;
        most = n;
        best = plan->radio[i].name;
    }
    return best;
}

static earshot_status find_transmitter(const earshot_site *site, const earshot_reading *r,
                                       const earshot_calibrate_options *options, earshot_station *station,
                                       earshot_error *error)
{
    const char *name = options->radio ? options->radio : commonest_radio(earshot_site_plan(site));
    const earshot_radio *radio = earshot_site_radio(site, name, r->frequency_hz);
    if (!radio)
        return es_fail(error, EARSHOT_NO_SUCH_NAME, "name a radio of the plan for it with --radio",
                       "line %u: no radio '%s' for %.2f MHz for the test transmitter", r->line, name ? name : "",
                       r->frequency_hz / 1e6);
    *station = (earshot_station){.at = r->at, .radio = radio};
    return EARSHOT_OK;
}

static earshot_status find_near(const earshot_site *site, const earshot_reading *r,
                                const earshot_calibrate_options *options, earshot_station *station,
                                earshot_error *error)
{
    if (r->device == EARSHOT_NONE) return find_transmitter(site, r, options, station, error);
    const earshot_device *d = &earshot_site_plan(site)->device[r->device];
    if (!earshot_device_station(site, (size_t)r->device, r->frequency_hz, station)) return EARSHOT_OK;
    return es_fail(error, EARSHOT_NO_SUCH_NAME, "give it a radio of this band, or leave its readings out",
                   "line %u: device '%s' has no radio '%s' for %.2f MHz", r->line, d->name, d->radio ? d->radio : "",
                   r->frequency_hz / 1e6);
}

static size_t find_group(es_ends *ends, size_t i)
{
    const earshot_reading *r = ends->readings->reading;
    for (size_t g = 0; g < ends->n_groups; g++) {
        const earshot_reading *first = &r[ends->group_row[g]];
        if (first->receiver == r[i].receiver && first->frequency_hz == r[i].frequency_hz) return g;
    }
    ends->group_row[ends->n_groups] = i;
    return ends->n_groups++;
}

earshot_status es_ends_find(const earshot_site *site, const earshot_readings *readings,
                            const earshot_calibrate_options *options, es_ends *ends, earshot_error *error)
{
    const size_t n = readings->n;
    *ends = (es_ends){.plan = earshot_site_plan(site),
                      .scene = earshot_site_scene(site),
                      .model = options->model,
                      .readings = readings};
    ends->near = calloc(n + 1, sizeof *ends->near);
    ends->far = calloc(n + 1, sizeof *ends->far);
    ends->group = calloc(n + 1, sizeof *ends->group);
    ends->group_row = calloc(n + 1, sizeof *ends->group_row);
    if (!ends->near || !ends->far || !ends->group || !ends->group_row) return no_memory(error);
    for (size_t i = 0; i < n; i++) {
        const earshot_status status = find_near(site, &readings->reading[i], options, &ends->near[i], error);
        if (status) return status;
        ends->far[i] = earshot_site_receiver_at(site, readings->reading[i].receiver);
        ends->group[i] = find_group(ends, i);
    }
    return EARSHOT_OK;
}

void es_ends_clear(es_ends *ends)
{
    free(ends->near);
    free(ends->far);
    free(ends->group);
    free(ends->group_row);
    *ends = (es_ends){0};
}

/* ---- foretelling ---- */

/* A measured noise stands for the floor that the radio's figures would give. */
static double threshold_dbm(const earshot_radio *listener, const earshot_reading *r, const earshot_direction *d)
{
    if (isnan(r->noise_dbm) || isnan(listener->snr_db)) return d->threshold_dbm;
    return fmax(listener->sensitivity_dbm, r->noise_dbm + listener->snr_db);
}

/* The panel shows what it hears; of a device that only listens, what the device hears. */
static void read_link(const es_ends *ends, size_t i, const earshot_link *link, const earshot_radio *receiver,
                      es_foretold *f)
{
    const earshot_direction *d = link->out.used ? &link->out : &link->back;
    const earshot_radio *listener = link->out.used ? receiver : ends->near[i].radio;
    const es_fade fade = es_fade_of(link->loss.rice_k);
    *f = (es_foretold){.level_dbm = d->level_dbm + fade.mean_db,
                       .threshold_dbm = threshold_dbm(listener, &ends->readings->reading[i], d),
                       .model_sigma_db = link->loss.model_sigma_db,
                       .fade_sigma_db = fade.sigma_db};
}

static earshot_status refuse(const es_ends *ends, size_t group, earshot_status status, earshot_error *error)
{
    const earshot_reading *r = &ends->readings->reading[ends->group_row[group]];
    if (status == EARSHOT_MEMORY) return no_memory(error);
    if (status != EARSHOT_ARGUMENT) return es_fail(error, status, NULL, "%s", earshot_status_text(status));
    return es_fail(error, EARSHOT_READINGS, "one end must have erp=, the other sensitivity=",
                   "receiver '%s' and a transmitter of the readings cannot hear each other",
                   ends->plan->receiver[r->receiver].name);
}

/* The readings of one group, shared by threads. */
typedef struct sweep {
    const es_ends *ends;
    size_t group;
    const earshot_field *field;
    const earshot_station *receiver;
    es_foretold *foretold;
} sweep;

static earshot_status foretell_one(void *work, size_t i)
{
    const sweep *s = work;
    const es_ends *ends = s->ends;
    const earshot_need need = {ends->plan->need_margin_db, ends->plan->need_confidence};
    const earshot_station *near = &ends->near[i];
    earshot_loss loss;
    earshot_link link;
    if (ends->group[i] != s->group) return EARSHOT_OK;
    earshot_status status = earshot_field_at(s->field, near->at, near->radio->antenna, &loss);
    if (!status)
        status = earshot_link_judge(near, s->receiver, &loss, ends->readings->reading[i].frequency_hz, need, &link);
    if (!status) read_link(ends, i, &link, s->receiver->radio, &s->foretold[i]);
    return status;
}

static earshot_status foretell_group(const es_ends *ends, const earshot_site *site, size_t group, earshot_detail detail,
                                     const earshot_watch *watch, es_foretold *foretold, earshot_error *error)
{
    const earshot_reading *first = &ends->readings->reading[ends->group_row[group]];
    earshot_station receiver;
    earshot_field *field;
    earshot_status status = earshot_receiver_station(site, first->receiver, first->frequency_hz, &receiver);
    if (status)
        return es_fail(error, status, "give it a radio of this band", "receiver '%s' has no radio for %.2f MHz",
                       ends->plan->receiver[first->receiver].name, first->frequency_hz / 1e6);
    status =
        earshot_field_new(site, ends->model, first->frequency_hz, receiver.at, receiver.radio->antenna, detail, &field);
    if (status) return refuse(ends, group, status, error);
    sweep work = {ends, group, field, &receiver, foretold};
    status = es_share(ends->readings->n, foretell_one, &work, watch);
    earshot_field_free(field);
    return status ? refuse(ends, group, status, error) : EARSHOT_OK;
}

earshot_status es_foretell(const es_ends *ends, const earshot_site *site, earshot_detail detail,
                           const earshot_watch *watch, es_foretold *foretold, earshot_error *error)
{
    for (size_t g = 0; g < ends->n_groups; g++) {
        const earshot_status status = foretell_group(ends, site, g, detail, watch, foretold, error);
        if (status) return status;
    }
    return EARSHOT_OK;
}
