/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decide/matrix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "coverage/share.h"
#include "decide/programme.h"
#include "decide/spots.h"

/* Links of one scene. */
typedef struct filling {
    const earshot_placement *placement;
    const earshot_site *site;
    earshot_station *receiver, *repeater; /* [n_spots] radio NULL: none there */
    earshot_station *device;              /* [n_devices] radio NULL: takes no part */
    es_matrix scene;
    const earshot_watch *watch;
    size_t scenes_done;
} filling;

/* Margin of a link whose loss is known; -INFINITY where the two have nothing to say to each other. */
static earshot_status judge(const filling *f, const earshot_station *from, const earshot_station *to,
                            const earshot_loss *loss, double *dependable_db)
{
    earshot_link link;
    *dependable_db = -INFINITY;
    if (!es_radios_link(from->radio, to->radio)) return EARSHOT_OK;
    const earshot_placement *p = f->placement;
    const earshot_status status = earshot_link_judge(from, to, loss, p->frequency_hz, p->need, &link);
    if (!status) *dependable_db = link.dependable_db;
    return status;
}

/* One end of many links: a receiver or a repeater at a spot, or both where their antennas are alike. */
typedef struct ear {
    const earshot_station *as_receiver, *as_repeater; /* NULL: not in this role */
    double *direct_db, *heard_db, *up_db, *relay_db;  /* rows of this spot; NULL: not wanted */
    earshot_field *field;
} ear;

static earshot_status hear(const filling *f, const ear *e, const earshot_station *from, double *by_receiver,
                           double *by_repeater)
{
    earshot_loss loss;
    earshot_status status = earshot_field_at(e->field, from->at, from->radio->antenna, &loss);
    if (!status && e->as_receiver && by_receiver) status = judge(f, from, e->as_receiver, &loss, by_receiver);
    if (!status && e->as_repeater && by_repeater) status = judge(f, from, e->as_repeater, &loss, by_repeater);
    return status;
}

static earshot_status hear_all(const filling *f, const ear *e, size_t spot)
{
    earshot_status status = EARSHOT_OK;
    for (size_t d = 0; d < f->scene.n_devices && !status; d++) {
        if (!f->device[d].radio) continue;
        double *by_repeater = f->device[d].radio->hops ? &e->heard_db[d] : NULL; /* some radios cannot be repeated */
        status = hear(f, e, &f->device[d], &e->direct_db[d], by_repeater);
    }
    for (size_t i = 0; i < f->scene.n_spots && !status; i++) {
        if (i == spot || !f->repeater[i].radio || (!e->as_receiver && !e->relay_db)) continue;
        status = hear(f, e, &f->repeater[i], &e->up_db[i], e->relay_db ? &e->relay_db[i] : NULL);
    }
    return status;
}

static earshot_status listen(const filling *f, ear e, size_t spot)
{
    const earshot_station *any = e.as_receiver ? e.as_receiver : e.as_repeater;
    if (!any) return EARSHOT_OK;
    earshot_status status = earshot_field_new(f->site, f->placement->model, f->placement->frequency_hz, any->at,
                                              any->radio->antenna, EARSHOT_DETAIL_LINK, &e.field);
    if (status) return status;
    status = hear_all(f, &e, spot);
    earshot_field_free(e.field);
    return status;
}

static earshot_status link_spot(void *work, size_t i)
{
    const filling *f = work;
    const es_matrix *m = &f->scene;
    const ear both = {.as_receiver = f->receiver[i].radio ? &f->receiver[i] : NULL,
                      .as_repeater = f->repeater[i].radio ? &f->repeater[i] : NULL,
                      .direct_db = m->direct_db + i * m->n_devices,
                      .heard_db = m->heard_db + i * m->n_devices,
                      .up_db = m->up_db + i * m->n_spots,
                      .relay_db = m->relay_db ? m->relay_db + i * m->n_spots : NULL};
    const bool alike =
        !both.as_receiver || !both.as_repeater || both.as_receiver->radio->antenna == both.as_repeater->radio->antenna;
    if (alike) return listen(f, both, i);
    ear one = both;
    one.as_repeater = NULL;
    const earshot_status status = listen(f, one, i);
    if (status) return status;
    one = both;
    one.as_receiver = NULL;
    return listen(f, one, i);
}

/* --- all scenes ------------------------------------------------------------------------------------------------ */

static bool scene_done(void *context, double done)
{
    const filling *f = context;
    return f->watch->progress(f->watch->context, ((double)f->scenes_done + done) / (double)f->placement->n_sites);
}

static bool allows_chains(const filling *f)
{
    for (size_t i = 0; i < f->scene.n_spots; i++)
        if (f->receiver[i].radio && f->receiver[i].radio->hops > 1) return true;
    return false;
}

static bool take_rows(const es_matrix *size, bool chains, es_matrix *m)
{
    const size_t devices = size->n_spots * size->n_devices + 1, spots = size->n_spots * size->n_spots + 1;
    m->n_spots = size->n_spots;
    m->n_devices = size->n_devices;
    m->direct_db = malloc(devices * sizeof(double));
    m->heard_db = malloc(devices * sizeof(double));
    m->up_db = malloc(spots * sizeof(double));
    m->relay_db = chains ? malloc(spots * sizeof(double)) : NULL;
    return m->direct_db && m->heard_db && m->up_db && (m->relay_db || !chains);
}

static void set_all(double *db, size_t n, double value)
{
    for (size_t i = 0; db && i < n; i++) db[i] = value;
}

static void reset(es_matrix *m, double value)
{
    set_all(m->direct_db, m->n_spots * m->n_devices, value);
    set_all(m->heard_db, m->n_spots * m->n_devices, value);
    set_all(m->up_db, m->n_spots * m->n_spots, value);
    set_all(m->relay_db, m->n_spots * m->n_spots, value);
}

static void fold(es_matrix *worst, const es_matrix *scene)
{
    const size_t devices = worst->n_spots * worst->n_devices, spots = worst->n_spots * worst->n_spots;
    es_programme_fold(worst->direct_db, scene->direct_db, devices);
    es_programme_fold(worst->heard_db, scene->heard_db, devices);
    es_programme_fold(worst->up_db, scene->up_db, spots);
    if (worst->relay_db) es_programme_fold(worst->relay_db, scene->relay_db, spots);
}

static size_t count_links(const filling *f)
{
    size_t ears = 0, talkers = 0;
    for (size_t i = 0; i < f->scene.n_spots; i++) {
        ears += f->receiver[i].radio || f->repeater[i].radio;
        talkers += f->repeater[i].radio != NULL;
    }
    for (size_t d = 0; d < f->scene.n_devices; d++) talkers += f->device[d].radio != NULL;
    return ears * talkers;
}

static earshot_status run_scenes(filling *f, es_matrix *worst, earshot_error *error)
{
    const earshot_watch part = {scene_done, f};
    const bool watched = f->watch && f->watch->progress;
    reset(worst, INFINITY);
    for (size_t i = 0; i < f->placement->n_sites; i++) {
        f->site = f->placement->site[i];
        f->scenes_done = i;
        reset(&f->scene, -INFINITY);
        const earshot_status status = es_share(f->scene.n_spots, link_spot, f, watched ? &part : NULL);
        if (status) return es_fail(error, status, NULL, "%s", earshot_status_text(status));
        fold(worst, &f->scene);
        worst->n_links += count_links(f);
    }
    return EARSHOT_OK;
}

static bool take_stations(filling *f)
{
    f->receiver = calloc(f->scene.n_spots + 1, sizeof *f->receiver);
    f->repeater = calloc(f->scene.n_spots + 1, sizeof *f->repeater);
    f->device = calloc(f->scene.n_devices + 1, sizeof *f->device);
    return f->receiver && f->repeater && f->device;
}

/* A device that the plan has wired need not have a radio. */
static earshot_status find_devices(filling *f, earshot_error *error)
{
    const earshot_placement *p = f->placement;
    for (size_t d = 0; d < p->plan->n_devices; d++) {
        const earshot_device *device = &p->plan->device[d];
        const earshot_status status = earshot_device_station(p->site[0], d, p->frequency_hz, &f->device[d]);
        const bool wired = device->wiring == EARSHOT_WIRING_MUST;
        if (status && !wired)
            return es_fail(error, status, "give it a radio of this band, or choose another band",
                           "device '%s': no radio '%s' for %.2f MHz", device->name, device->radio ? device->radio : "",
                           p->frequency_hz / 1e6);
        if (status || wired) f->device[d].radio = NULL;
    }
    return EARSHOT_OK;
}

static void find_spots(filling *f, size_t receiver)
{
    for (size_t i = 0; i < f->scene.n_spots; i++) {
        if (f->placement->spot[i].receives) f->receiver[i] = es_spot_receiver(f->placement, i, receiver);
        if (f->placement->spot[i].repeats) f->repeater[i] = es_spot_repeater(f->placement, i, receiver);
    }
}

static earshot_status fill(filling *f, size_t receiver, es_matrix *matrix, earshot_error *error)
{
    if (!take_stations(f)) return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    const earshot_status status = find_devices(f, error);
    if (status) return status;
    find_spots(f, receiver);
    const es_matrix size = f->scene;
    const bool chains = allows_chains(f);
    if (!take_rows(&size, chains, &f->scene) || !take_rows(&size, chains, matrix))
        return es_fail(error, EARSHOT_MEMORY, NULL, "out of memory");
    return run_scenes(f, matrix, error);
}

earshot_status es_matrix_fill(const earshot_placement *placement, size_t receiver, const earshot_watch *watch,
                              es_matrix *matrix, earshot_error *error)
{
    *matrix = (es_matrix){0};
    filling f = {.placement = placement,
                 .scene = {.n_spots = placement->n_spots, .n_devices = placement->plan->n_devices},
                 .watch = watch};
    const earshot_status status = fill(&f, receiver, matrix, error);
    free(f.receiver);
    free(f.repeater);
    free(f.device);
    es_matrix_clear(&f.scene);
    if (status) es_matrix_clear(matrix);
    return status;
}

void es_matrix_clear(es_matrix *m)
{
    free(m->direct_db);
    free(m->heard_db);
    free(m->up_db);
    free(m->relay_db);
    *m = (es_matrix){0};
}
