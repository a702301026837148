/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranking the receiver places. */
#define _POSIX_C_SOURCE 200809L
#include "decide/programme.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "decide/search.h"

void es_programme_fold(double *worst, const double *scene, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (scene[i] < worst[i]) worst[i] = scene[i];
}

bool es_programme_available(void)
{
    return es_assign_glpk_available();
}

/* --- the input ------------------------------------------------------------------------------------------------- */

static bool margins_are_fine(const double *db, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (isnan(db[i]) || db[i] == INFINITY) return false;
    return true;
}

static bool cost_is_fine(es_cost cost)
{
    return cost >= 0 && cost <= ES_COST_MAX;
}

static bool costs_are_fine(const es_programme *p)
{
    for (size_t r = 0; r < p->n_repeaters; r++)
        if (!cost_is_fine(p->repeater[r].cost)) return false;
    for (size_t i = 0; i < p->n_receivers * p->n_devices; i++)
        if (p->wire[i] != ES_COST_NONE && !cost_is_fine(p->wire[i])) return false;
    return cost_is_fine(p->expander_cost);
}

static bool is_fine(const es_programme *p)
{
    if (!p->n_receivers || p->n_receivers > ES_PROGRAMME_MAX_PLACES) return false;
    if (p->n_repeaters > ES_PROGRAMME_MAX_PLACES || p->n_devices > ES_PROGRAMME_MAX_DEVICES) return false;
    for (size_t d = 0; d < p->n_devices; d++)
        if (p->device[d].kind > 31 || p->device[d].inputs > 1000) return false;
    return isfinite(p->need_db) && p->enough_db >= p->need_db && costs_are_fine(p) &&
           margins_are_fine(p->direct_db, p->n_receivers * p->n_devices) &&
           margins_are_fine(p->heard_db, p->n_repeaters * p->n_devices) &&
           margins_are_fine(p->up_db, p->n_receivers * p->n_repeaters) &&
           (!p->relay_db || margins_are_fine(p->relay_db, p->n_repeaters * p->n_repeaters));
}

/* --- arrangements ---------------------------------------------------------------------------------------------- */

static void arrangement_clear(es_arrangement *a)
{
    free(a->up);
    free(a->way);
    *a = (es_arrangement){0};
}

static bool arrangement_begin(const es_programme *p, es_arrangement *a)
{
    *a = (es_arrangement){0};
    a->up = malloc((p->n_repeaters + 1) * sizeof *a->up);
    a->way = malloc((p->n_devices + 1) * sizeof *a->way);
    if (a->up && a->way) return true;
    arrangement_clear(a);
    return false;
}

/* Below 0: a is to be preferred. */
static int compare(const es_arrangement *a, const es_arrangement *b)
{
    if (a->n_unserved != b->n_unserved) return a->n_unserved < b->n_unserved ? -1 : 1;
    if (a->cost != b->cost) return a->cost < b->cost ? -1 : 1;
    if (a->worst_db != b->worst_db) return a->worst_db > b->worst_db ? -1 : 1;
    if (a->n_repeaters != b->n_repeaters) return a->n_repeaters < b->n_repeaters ? -1 : 1;
    return a->receiver < b->receiver ? -1 : a->receiver > b->receiver;
}

/* --- the ranking ----------------------------------------------------------------------------------------------- */

typedef struct ranking {
    const es_programme *programme;
    const es_programme_options *options;
    es_programme_result *result;
    es_search search;
    es_arena *arena;
    size_t room; /* arrangements wanted */
    es_arrangement spare;
} ranking;

typedef struct turn {
    size_t receiver;
    es_cost bound;
} turn;

static int by_bound(const void *a, const void *b)
{
    const turn *one = a, *two = b;
    if (one->bound != two->bound) return one->bound < two->bound ? -1 : 1;
    return one->receiver < two->receiver ? -1 : one->receiver > two->receiver;
}

static bool is_full(const ranking *k)
{
    return k->result->n_best == k->room;
}

static const es_arrangement *last(const ranking *k)
{
    return &k->result->best[k->result->n_best - 1];
}

/* The spare goes where it belongs; what falls off the end is kept behind it, to be written over. */
static void insert_spare(ranking *k)
{
    es_arrangement *best = k->result->best;
    size_t at = k->result->n_best;
    while (at > 0 && compare(&k->spare, &best[at - 1]) < 0) at--;
    const es_arrangement off = best[k->room];
    memmove(best + at + 1, best + at, (k->room - at) * sizeof *best);
    best[at] = k->spare;
    k->spare = off;
    if (k->result->n_best < k->room) k->result->n_best++;
}

static void note_time_out(ranking *k, es_cost bound)
{
    k->result->proven = false;
    if (bound < k->result->cost_bound) k->result->cost_bound = bound;
}

/* Could this receiver place, which costs as much as the last of the best, at least equal it? */
static earshot_status may_equal(ranking *k, bool *may)
{
    *may = !is_full(k) || k->spare.cost < last(k)->cost || k->spare.worst_db >= last(k)->worst_db;
    if (*may) return EARSHOT_OK;
    const size_t receiver = k->spare.receiver;
    const earshot_status status = es_search_cost(&k->search, receiver, last(k)->worst_db, k->spare.cost, &k->spare);
    *may = !status && k->search.answer.any;
    return status;
}

static earshot_status consider(ranking *k, turn t)
{
    const es_cost limit = is_full(k) ? last(k)->cost : ES_COST_NONE;
    if (t.bound == ES_COST_NONE || t.bound > limit) return EARSHOT_OK;
    earshot_status status = es_search_cost(&k->search, t.receiver, k->programme->need_db, limit, &k->spare);
    if (status) return status;
    const es_finding finding = k->search.answer.finding;
    if (finding == ES_TIME_OUT) note_time_out(k, k->search.answer.cost_bound);
    if (!k->search.answer.any) return EARSHOT_OK;
    const es_cost bound = k->spare.cost_bound;
    bool may = true;
    if (finding == ES_FOUND) status = may_equal(k, &may);
    if (status || !may) return status;
    k->spare.cost_bound = bound;
    status = es_search_margin(&k->search, &k->spare);
    if (status) return status;
    if (!k->spare.proven) k->result->proven = false;
    insert_spare(k);
    return EARSHOT_OK;
}

static earshot_status bound_of(ranking *k, size_t receiver, es_cost *bound)
{
    es_arena *arena = es_arena_new();
    if (!arena) return EARSHOT_MEMORY;
    const es_question question = es_search_question(&k->search, receiver, k->programme->need_db);
    es_reduced reduced;
    earshot_status status = es_reduce(&question, true, arena, &reduced);
    if (!status) status = es_lower_bound(&reduced, bound);
    es_arena_free(arena);
    return status;
}

static earshot_status rank_turns(ranking *k, turn *list, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const earshot_status status = bound_of(k, list[i].receiver, &list[i].bound);
        if (status) return status;
    }
    qsort(list, n, sizeof *list, by_bound);
    for (size_t i = 0; i < n; i++) {
        const earshot_status status = consider(k, list[i]);
        if (status) return status;
    }
    return EARSHOT_OK;
}

/* Nothing serves all devices: keep the receiver places that leave the fewest without a way. */
static earshot_status keep_fewest_unserved(ranking *k, turn *list, size_t *n)
{
    size_t fewest = k->programme->n_devices;
    size_t kept = 0;
    for (size_t i = 0; i < k->programme->n_receivers; i++) {
        size_t count;
        bool found;
        const earshot_status status = es_search_unserved(&k->search, i, fewest, &count, &found);
        if (status) return status;
        if (k->search.answer.finding == ES_TIME_OUT) k->result->proven = false;
        if (!found) continue;
        if (count < fewest) kept = 0;
        fewest = count;
        list[kept++] = (turn){.receiver = i};
    }
    k->search.unserved_limit = fewest;
    *n = kept;
    return EARSHOT_OK;
}

static earshot_status rank(ranking *k)
{
    const size_t n_receivers = k->programme->n_receivers;
    turn *list = es_arena_take(k->arena, n_receivers, sizeof *list);
    if (!list) return EARSHOT_MEMORY;
    for (size_t i = 0; i < n_receivers; i++) list[i] = (turn){.receiver = i};
    earshot_status status = rank_turns(k, list, n_receivers);
    if (status || k->result->n_best || !k->result->proven) return status;
    size_t n = 0;
    status = keep_fewest_unserved(k, list, &n);
    return status ? status : rank_turns(k, list, n);
}

static earshot_status finish(ranking *k)
{
    es_programme_result *result = k->result;
    for (size_t i = 0; i < result->n_best; i++) {
        const earshot_status status = es_search_first(&k->search, &result->best[i]);
        if (status) return status;
        if (!result->best[i].proven) result->proven = false;
        if (result->best[i].cost_bound < result->cost_bound) result->cost_bound = result->best[i].cost_bound;
    }
    result->n_solves = k->search.answer.n_solves;
    if (!result->n_best || !result->best[0].n_unserved) return EARSHOT_OK;
    const earshot_status status =
        es_reasons_find(&k->search, result->best[0].receiver, &result->reason, &result->n_reasons);
    result->n_solves = k->search.answer.n_solves;
    return status;
}

static struct timespec deadline_in(double seconds)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    const double whole = floor(seconds);
    at.tv_sec += (time_t)whole;
    at.tv_nsec += (long)((seconds - whole) * 1e9);
    if (at.tv_nsec < 1000000000L) return at;
    at.tv_sec++;
    at.tv_nsec -= 1000000000L;
    return at;
}

static earshot_status run(ranking *k)
{
    earshot_status status = es_search_begin(&k->search, k->programme, k->arena);
    if (status) return status;
    const struct timespec deadline = deadline_in(k->options->seconds < 1e8 ? k->options->seconds : 0.0);
    if (k->options->seconds < 1e8) k->search.deadline = &deadline;
    k->search.memory_mb = k->options->memory_mb;
    status = rank(k);
    return status ? status : finish(k);
}

typedef struct job {
    ranking ranking;
    earshot_status status;
} job;

static void *in_thread(void *argument)
{
    job *j = argument;
    j->status = run(&j->ranking);
    es_assign_glpk_end();
    return NULL;
}

/* GLPK keeps its state per thread: in one of our own it cannot meet that of the program we are part of. */
static earshot_status run_in_thread(job *j)
{
    pthread_t thread;
    if (pthread_create(&thread, NULL, in_thread, j)) return EARSHOT_MEMORY;
    pthread_join(thread, NULL);
    return j->status;
}

static bool take_room(ranking *k)
{
    k->arena = es_arena_new();
    k->room = k->options->best < k->programme->n_receivers ? k->options->best : k->programme->n_receivers;
    k->result->best = calloc(k->room + 1, sizeof *k->result->best);
    if (!k->arena || !k->result->best) return false;
    for (size_t i = 0; i <= k->room; i++)
        if (!arrangement_begin(k->programme, &k->result->best[i])) return false;
    return arrangement_begin(k->programme, &k->spare);
}

static void clear_best(es_programme_result *result, size_t n)
{
    for (size_t i = 0; result->best && i < n; i++) arrangement_clear(&result->best[i]);
}

earshot_status es_programme_solve(const es_programme *programme, const es_programme_options *options,
                                  es_programme_result *result)
{
    *result = (es_programme_result){0};
    if (!options->best || isnan(options->seconds) || options->seconds < 0.0 || options->memory_mb < 0)
        return EARSHOT_ARGUMENT;
    if (!is_fine(programme)) return EARSHOT_ARGUMENT;
    if (!es_programme_available()) return EARSHOT_NOT_BUILT_IN;
    result->proven = true;
    result->cost_bound = ES_COST_NONE;
    job j = {.ranking = {.programme = programme, .options = options, .result = result}};
    const earshot_status status = take_room(&j.ranking) ? run_in_thread(&j) : EARSHOT_MEMORY;
    es_arena_free(j.ranking.arena);
    arrangement_clear(&j.ranking.spare);
    if (status) {
        clear_best(result, j.ranking.room + 1);
        es_programme_result_clear(result);
        return status;
    }
    for (size_t i = result->n_best; i <= j.ranking.room; i++) arrangement_clear(&result->best[i]);
    return EARSHOT_OK;
}

void es_programme_result_clear(es_programme_result *result)
{
    clear_best(result, result->n_best);
    free(result->best);
    free(result->reason);
    *result = (es_programme_result){0};
}
