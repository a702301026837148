/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a plan to its best arrangements. */
#define _POSIX_C_SOURCE 200809L
#include "earshot/place.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/arena.h"
#include "base/error.h"
#include "decide/matrix.h"
#include "decide/programme.h"
#include "decide/spots.h"
#include "decide/traffic.h"
#include "decide/wiring.h"

/* The work of one placement. */
typedef struct placing {
    const earshot_place_request *request;
    earshot_placement placement;
    const earshot_plan *plan;
    size_t receiver; /* of the plan, whose radio is lent to mounts and points */
    es_route_grid *grid;
    es_matrix matrix;
    es_cost *wire;       /* [n_spots][n_devices] malloc'ed */
    size_t *device;      /* [n_devices] of the plan, by name; arena */
    size_t *hear, *send; /* spots of the programme's receivers, repeaters; arena */
    es_programme programme;
    es_programme_result result;
    earshot_error *error;
} placing;

bool earshot_place_available(void)
{
    return es_programme_available();
}

static earshot_status no_memory(const placing *k)
{
    return es_fail(k->error, EARSHOT_MEMORY, NULL, "out of memory");
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* --- the request ----------------------------------------------------------------------------------------------- */

static earshot_status check_request(const earshot_place_request *r, earshot_error *error)
{
    if (!r || !r->n_sites || !r->site || !r->best || isnan(r->seconds) || r->seconds < 0.0)
        return es_fail(error, EARSHOT_ARGUMENT, NULL, "the request for a placement is not whole");
    const earshot_plan *plan = earshot_site_plan(r->site[0]);
    if (!plan->n_receivers || r->receiver >= (long)plan->n_receivers || r->receiver < EARSHOT_NONE)
        return es_fail(error, EARSHOT_ARGUMENT, "state one with 'receiver'", "the plan has no such receiver");
    for (size_t i = 1; i < r->n_sites; i++)
        if (earshot_site_plan(r->site[i]) != plan)
            return es_fail(error, EARSHOT_ARGUMENT, NULL, "the scenes are of different plans");
    if (r->anywhere && !(r->spacing_m >= 0.2 && r->spacing_m <= 100.0 && isfinite(r->height_m)))
        return es_fail(error, EARSHOT_ARGUMENT, NULL, "the spacing of places goes from 0.2 to 100 m");
    if (!earshot_place_available()) /* before the links are computed, which may take minutes */
        return es_fail(error, EARSHOT_NOT_BUILT_IN,
                       "build it with GLPK installed, and -DEARSHOT_GLPK=ON; 'check' and 'explain' still tell what "
                       "each device needs with the receiver where it is",
                       "this program was built without GLPK and cannot place");
    return EARSHOT_OK;
}

/* --- the programme --------------------------------------------------------------------------------------------- */

static const char *receiver_radio(const placing *k, size_t spot)
{
    const long own = k->placement.spot[spot].receiver;
    return k->plan->receiver[own == EARSHOT_NONE ? k->receiver : (size_t)own].radio;
}

static const char *repeater_radio(const placing *k, size_t spot)
{
    const long mount = k->placement.spot[spot].mount;
    const char *own = mount == EARSHOT_NONE ? NULL : k->plan->mount[mount].radio;
    return own ? own : receiver_radio(k, spot);
}

/* What a radio holds, and which statements of the plan say so. */
static const es_limit *limits_of(placing *k, const char *radio, size_t *n)
{
    es_limit *limit = es_arena_take(k->placement.arena, k->plan->n_capacities, sizeof *limit);
    *n = 0;
    for (size_t i = 0; limit && i < k->plan->n_capacities; i++)
        if (strcmp(k->plan->capacity[i].radio, radio) == 0)
            limit[(*n)++] = (es_limit){k->plan->capacity[i].kinds, k->plan->capacity[i].count};
    return limit;
}

static long capacity_of(const placing *k, const char *radio, size_t limit)
{
    for (size_t i = 0; i < k->plan->n_capacities; i++)
        if (strcmp(k->plan->capacity[i].radio, radio) == 0 && !limit--) return (long)i;
    return EARSHOT_NONE;
}

/* qsort's comparison cannot be told of the plan: pairs carry the name. */
typedef struct named {
    const char *name;
    size_t index;
} named;

static int by_name(const void *a, const void *b)
{
    return strcmp(((const named *)a)->name, ((const named *)b)->name);
}

static bool sort_devices(placing *k)
{
    const size_t n = k->plan->n_devices;
    named *list = es_arena_take(k->placement.arena, n, sizeof *list);
    k->device = es_arena_take(k->placement.arena, n, sizeof *k->device);
    if (!list || !k->device) return false;
    for (size_t d = 0; d < n; d++) list[d] = (named){k->plan->device[d].name, d};
    qsort(list, n, sizeof *list, by_name);
    for (size_t d = 0; d < n; d++) k->device[d] = list[d].index;
    return true;
}

static bool list_devices(placing *k)
{
    const size_t n = k->plan->n_devices;
    es_programme_device *list = es_arena_take(k->placement.arena, n, sizeof *list);
    if (!list || !sort_devices(k)) return false;
    for (size_t d = 0; d < n; d++) {
        const earshot_device *device = &k->plan->device[k->device[d]];
        list[d] = (es_programme_device){
            .kind = device->kind, .radio = device->wiring != EARSHOT_WIRING_MUST, .inputs = es_inputs_of(device->kind)};
    }
    k->programme.device = list;
    k->programme.n_devices = n;
    return true;
}

static bool list_spots(placing *k)
{
    const earshot_placement *p = &k->placement;
    es_programme *o = &k->programme;
    es_programme_receiver *receiver = es_arena_take(p->arena, p->n_spots, sizeof *receiver);
    es_programme_repeater *repeater = es_arena_take(p->arena, p->n_spots, sizeof *repeater);
    k->hear = es_arena_take(p->arena, p->n_spots, sizeof *k->hear);
    k->send = es_arena_take(p->arena, p->n_spots, sizeof *k->send);
    if (!receiver || !repeater || !k->hear || !k->send) return false;
    for (size_t i = 0; i < p->n_spots; i++) {
        if (p->spot[i].receives) {
            es_programme_receiver *r = &receiver[o->n_receivers];
            *r = (es_programme_receiver){.spot = i, .hops = es_spot_receiver(p, i, k->receiver).radio->hops};
            r->limit = limits_of(k, receiver_radio(k, i), &r->n_limits);
            k->hear[o->n_receivers++] = i;
        }
        if (p->spot[i].repeats) {
            es_programme_repeater *r = &repeater[o->n_repeaters];
            *r = (es_programme_repeater){.spot = i, .cost = p->spot[i].fitted ? 0 : es_cost_of(k->plan->cost.repeater)};
            r->limit = limits_of(k, repeater_radio(k, i), &r->n_limits);
            k->send[o->n_repeaters++] = i;
        }
    }
    o->receiver = receiver;
    o->repeater = repeater;
    return true;
}

/* Rows and columns of a matrix over all spots that the programme has. */
static const double *pick(const placing *k, const double *all, size_t width, const size_t *row, size_t n_rows,
                          const size_t *column, size_t n_columns)
{
    double *db = all ? es_arena_take(k->placement.arena, n_rows * n_columns, sizeof *db) : NULL;
    for (size_t i = 0; db && i < n_rows; i++)
        for (size_t j = 0; j < n_columns; j++) db[i * n_columns + j] = all[row[i] * width + column[j]];
    return db;
}

static bool pick_margins(placing *k)
{
    es_programme *o = &k->programme;
    const es_matrix *m = &k->matrix;
    const size_t spots = m->n_spots, devices = m->n_devices;
    o->direct_db = pick(k, m->direct_db, devices, k->hear, o->n_receivers, k->device, o->n_devices);
    o->heard_db = pick(k, m->heard_db, devices, k->send, o->n_repeaters, k->device, o->n_devices);
    o->up_db = pick(k, m->up_db, spots, k->hear, o->n_receivers, k->send, o->n_repeaters);
    o->relay_db = pick(k, m->relay_db, spots, k->send, o->n_repeaters, k->send, o->n_repeaters);
    es_cost *wire = es_arena_take(k->placement.arena, o->n_receivers * o->n_devices, sizeof *wire);
    for (size_t i = 0; wire && i < o->n_receivers; i++)
        for (size_t d = 0; d < o->n_devices; d++)
            wire[i * o->n_devices + d] = k->wire[k->hear[i] * devices + k->device[d]];
    o->wire = wire;
    return o->direct_db && o->heard_db && o->up_db && (o->relay_db || !m->relay_db) && wire;
}

static earshot_status make_programme(placing *k)
{
    const earshot_plan *plan = k->plan;
    if (!list_devices(k) || !list_spots(k) || !pick_margins(k)) return no_memory(k);
    es_programme *o = &k->programme;
    unsigned fitted = 0;
    for (size_t i = 0; i < k->placement.n_spots; i++) fitted += k->placement.spot[i].fitted;
    o->need_db = plan->need_margin_db;
    /* What has its margin directly is not made to hang on a repeater only to raise the weakest margin of all. */
    o->enough_db = plan->need_margin_db;
    o->max_repeaters = plan->need_repeaters > fitted ? plan->need_repeaters : fitted;
    o->onboard_inputs = plan->inputs.onboard;
    o->expander_inputs = plan->inputs.expander;
    o->max_expanders = plan->inputs.expanders;
    o->expander_cost = es_cost_of(plan->cost.expander);
    return EARSHOT_OK;
}

/* --- the answer ------------------------------------------------------------------------------------------------ */

static double units(es_cost cost)
{
    return (double)cost / 100.0;
}

static void place_device(const placing *k, const es_arrangement *a, size_t d, earshot_choice *choice)
{
    const es_programme *o = &k->programme;
    earshot_placed *placed = &choice->device[k->device[d]];
    const long way = a->way[d];
    *placed = (earshot_placed){
        .verdict = EARSHOT_VERDICT_WIRE, .served = way != ES_WAY_NONE, .spot = EARSHOT_NONE, .dependable_db = NAN};
    if (way == ES_WAY_DIRECT) {
        placed->verdict = EARSHOT_VERDICT_DIRECT;
        placed->dependable_db = o->direct_db[a->receiver * o->n_devices + d];
        choice->n_direct++;
    } else if (way >= 0) {
        placed->verdict = EARSHOT_VERDICT_REPEATER;
        placed->spot = (long)k->send[way];
        placed->dependable_db = o->heard_db[(size_t)way * o->n_devices + d];
        choice->n_repeated++;
    } else if (way == ES_WAY_WIRE) {
        choice->n_wired++;
    }
}

static void place_repeater(const placing *k, const es_arrangement *a, size_t r, earshot_choice *choice)
{
    const es_programme *o = &k->programme;
    const long up = a->up[r];
    earshot_repeater *repeater = &choice->repeater[choice->n_repeaters++];
    *repeater = (earshot_repeater){
        .spot = k->send[r],
        .reports_to = up == ES_UP_RECEIVER ? EARSHOT_NONE : (long)k->send[up],
        .dependable_db = up == ES_UP_RECEIVER ? o->up_db[a->receiver * o->n_repeaters + r]
                                              : o->relay_db[(size_t)up * o->n_repeaters + r],
    };
    for (size_t d = 0; d < o->n_devices; d++) repeater->n_devices += a->way[d] == (long)r;
}

static earshot_status fill_choice(const placing *k, const es_arrangement *a, earshot_choice *choice)
{
    const es_programme *o = &k->programme;
    *choice = (earshot_choice){.spot = k->hear[a->receiver],
                               .n_unserved = a->n_unserved,
                               .cost = units(a->cost),
                               .cost_bound = units(a->cost_bound),
                               .worst_db = a->worst_db,
                               .proven = a->proven,
                               .expanders = a->expanders,
                               .n_devices = o->n_devices};
    choice->repeater = calloc(a->n_repeaters + 1, sizeof *choice->repeater);
    choice->device = calloc(o->n_devices + 1, sizeof *choice->device);
    if (!choice->repeater || !choice->device) return no_memory(k);
    for (size_t d = 0; d < o->n_devices; d++) place_device(k, a, d, choice);
    for (size_t r = 0; r < o->n_repeaters; r++)
        if (a->up[r] != ES_UP_UNUSED) place_repeater(k, a, r, choice);
    earshot_status status = es_wiring_cables(&k->placement, k->grid, choice->spot, choice->device);
    if (!status) status = es_traffic_of(&k->placement, choice, k->receiver, &choice->load);
    return status ? es_fail(k->error, status, NULL, "%s", earshot_status_text(status)) : EARSHOT_OK;
}

static earshot_reason reason_of(const placing *k, const es_reason *from)
{
    static const earshot_obstacle OBSTACLE[] = {
        [ES_REASON_NO_WAY] = EARSHOT_OBSTACLE_NO_WAY,
        [ES_REASON_RECEIVER_LIMIT] = EARSHOT_OBSTACLE_RECEIVER_FULL,
        [ES_REASON_REPEATER_LIMIT] = EARSHOT_OBSTACLE_REPEATERS_FULL,
        [ES_REASON_REPEATERS] = EARSHOT_OBSTACLE_REPEATERS,
        [ES_REASON_INPUTS] = EARSHOT_OBSTACLE_INPUTS,
    };
    const size_t spot = k->placement.choice[0].spot;
    earshot_reason reason = {.obstacle = OBSTACLE[from->kind],
                             .device = EARSHOT_NONE,
                             .capacity = EARSHOT_NONE,
                             .amount = from->amount,
                             .short_db = from->short_db,
                             .nearest = EARSHOT_NONE};
    if (from->kind == ES_REASON_NO_WAY) reason.device = (long)k->device[from->device];
    if (from->kind == ES_REASON_RECEIVER_LIMIT) reason.capacity = capacity_of(k, receiver_radio(k, spot), from->limit);
    if (from->nearest == ES_WAY_DIRECT) reason.nearest = (long)spot;
    if (from->nearest >= 0) reason.nearest = (long)k->send[from->nearest];
    return reason;
}

static earshot_status fill_answer(placing *k)
{
    earshot_placement *p = &k->placement;
    p->choice = calloc(k->result.n_best + 1, sizeof *p->choice);
    p->reason = calloc(k->result.n_reasons + 1, sizeof *p->reason);
    if (!p->choice || !p->reason) return no_memory(k);
    for (size_t i = 0; i < k->result.n_best; i++) {
        p->n_choices = i + 1; /* so that a half-filled one is freed */
        const earshot_status status = fill_choice(k, &k->result.best[i], &p->choice[i]);
        if (status) return status;
    }
    for (size_t i = 0; i < k->result.n_reasons; i++) p->reason[p->n_reasons++] = reason_of(k, &k->result.reason[i]);
    p->cost_bound = units(k->result.cost_bound == ES_COST_NONE ? 0 : k->result.cost_bound);
    p->proven = k->result.proven;
    p->n_solves = k->result.n_solves;
    return EARSHOT_OK;
}

/* --- the whole ------------------------------------------------------------------------------------------------- */

static earshot_status find_spots(placing *k)
{
    earshot_placement *p = &k->placement;
    earshot_status status = es_wiring_grid(p->site[0], &k->grid);
    if (status) return es_fail(k->error, status, NULL, "%s", earshot_status_text(status));
    status = es_spots_find(k->request, k->grid, p, k->error);
    if (status) return status;
    for (size_t i = 0; i < p->n_spots; i++)
        if (p->spot[i].receives) return EARSHOT_OK;
    const char *radio = k->plan->receiver[k->receiver].radio;
    return es_fail(k->error, EARSHOT_NO_SUCH_NAME,
                   "give it a radio of this band, mains where it needs it, and a place "
                   "that is not to be avoided",
                   "no place for a receiver: none has a radio '%s' for %.2f MHz that may go there", radio ? radio : "",
                   p->frequency_hz / 1e6);
}

static earshot_status cost_wires(placing *k)
{
    earshot_placement *p = &k->placement;
    const double start_s = now_s();
    k->wire = malloc((p->n_spots * k->plan->n_devices + 1) * sizeof *k->wire);
    const earshot_status status = k->wire ? es_wiring_costs(p, k->grid, k->wire) : EARSHOT_MEMORY;
    p->cable_s = now_s() - start_s;
    return status ? es_fail(k->error, status, NULL, "%s", earshot_status_text(status)) : EARSHOT_OK;
}

static earshot_status solve(placing *k)
{
    const double start_s = now_s();
    const es_programme_options options = {.best = k->request->best, .seconds = k->request->seconds};
    const earshot_status status = es_programme_solve(&k->programme, &options, &k->result);
    k->placement.solve_s = now_s() - start_s;
    return status ? es_fail(k->error, status, NULL, "%s", earshot_status_text(status)) : EARSHOT_OK;
}

static earshot_status run(placing *k)
{
    k->placement.site =
        es_arena_copy(k->placement.arena, k->request->site, k->request->n_sites, sizeof *k->request->site);
    if (!k->placement.site) return no_memory(k);
    earshot_status status = find_spots(k);
    if (status) return status;
    const double start_s = now_s();
    status = es_matrix_fill(&k->placement, k->receiver, k->request->watch, &k->matrix, k->error);
    k->placement.radio_s = now_s() - start_s;
    k->placement.n_links = k->matrix.n_links;
    if (!status) status = cost_wires(k);
    if (!status) status = make_programme(k);
    if (!status) status = solve(k);
    return status ? status : fill_answer(k);
}

earshot_status earshot_place_run(const earshot_place_request *request, earshot_placement *placement,
                                 earshot_error *error)
{
    if (!placement) return es_fail(error, EARSHOT_ARGUMENT, NULL, "no place for the placement");
    *placement = (earshot_placement){0};
    earshot_status status = check_request(request, error);
    if (status) return status;
    placing k = {.request = request, .plan = earshot_site_plan(request->site[0]), .error = error};
    if (request->receiver != EARSHOT_NONE) k.receiver = (size_t)request->receiver;
    k.placement = (earshot_placement){.plan = k.plan,
                                      .n_sites = request->n_sites,
                                      .model = request->model,
                                      .frequency_hz = request->frequency_hz,
                                      .need = {k.plan->need_margin_db, k.plan->need_confidence},
                                      .arena = es_arena_new()};
    status = k.placement.arena ? run(&k) : no_memory(&k);
    es_matrix_clear(&k.matrix);
    es_programme_result_clear(&k.result);
    es_route_grid_free(k.grid);
    free(k.wire);
    if (status)
        earshot_placement_clear(&k.placement);
    else
        *placement = k.placement;
    return status;
}

void earshot_placement_clear(earshot_placement *p)
{
    if (!p) return;
    for (size_t i = 0; i < p->n_choices; i++) {
        for (size_t d = 0; p->choice[i].device && d < p->choice[i].n_devices; d++)
            earshot_cable_clear(&p->choice[i].device[d].cable);
        free(p->choice[i].device);
        free(p->choice[i].repeater);
    }
    free(p->choice);
    free(p->reason);
    es_arena_free(p->arena);
    *p = (earshot_placement){0};
}
