/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cost, then margin, then number of repeaters, for one receiver place. */
#include "decide/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

earshot_status es_search_begin(es_search *search, const es_programme *p, struct es_arena *arena)
{
    *search = (es_search){.programme = p};
    const size_t links = p->n_devices * (p->n_repeaters + 1) + p->n_repeaters * (p->n_repeaters + 1) + 1;
    search->use = es_arena_take(arena, p->n_repeaters, 1);
    search->forced = es_arena_take(arena, p->n_devices, sizeof(long));
    search->answer.used = es_arena_take(arena, p->n_repeaters, sizeof(bool));
    search->answer.way = es_arena_take(arena, p->n_devices, sizeof(long));
    search->level = es_arena_take(arena, links, sizeof(double));
    if (!search->use || !search->forced || !search->answer.used || !search->answer.way || !search->level)
        return EARSHOT_MEMORY;
    return EARSHOT_OK;
}

es_question es_search_question(es_search *search, size_t receiver, double floor_db)
{
    const es_programme *p = search->programme;
    for (size_t d = 0; d < p->n_devices; d++) search->forced[d] = ES_WAY_ANY;
    memset(search->use, ES_USE_FREE, p->n_repeaters);
    return (es_question){.programme = p,
                         .receiver = receiver,
                         .aim = ES_AIM_COST,
                         .floor_db = floor_db > p->need_db ? floor_db : p->need_db,
                         .use = search->use,
                         .forced = search->forced,
                         .cost_limit = ES_COST_NONE,
                         .repeater_limit = p->max_repeaters,
                         .unserved_limit = search->unserved_limit,
                         .deadline = search->deadline,
                         .memory_mb = search->memory_mb};
}

/* Arrangement and answer are the same thing, the first to keep, the second to be written over. */
static void keep(const es_search *search, es_arrangement *a)
{
    const es_programme *p = search->programme;
    const es_answer *answer = &search->answer;
    a->n_unserved = answer->n_unserved;
    a->cost = answer->cost;
    a->n_repeaters = answer->n_repeaters;
    a->expanders = answer->expanders;
    for (size_t r = 0; r < p->n_repeaters; r++) a->up[r] = answer->used[r] ? ES_UP_RECEIVER : ES_UP_UNUSED;
    memcpy(a->way, answer->way, p->n_devices * sizeof *a->way);
}

earshot_status es_search_cost(es_search *search, size_t receiver, double floor_db, es_cost cost_limit,
                              es_arrangement *a)
{
    es_question question = es_search_question(search, receiver, floor_db);
    question.cost_limit = cost_limit;
    const earshot_status status = es_assign(&question, &search->answer);
    if (status) return status;
    a->receiver = receiver;
    a->cost_bound = search->answer.cost_bound;
    a->proven = search->answer.finding == ES_FOUND;
    if (!search->answer.any) return EARSHOT_OK;
    keep(search, a);
    a->worst_db = es_arrangement_worst_db(search->programme, a);
    return EARSHOT_OK;
}

/* No arrangement can do better than the best link of the device that has the worst one and cannot be wired. */
static double highest_worst_db(const es_search *search, size_t receiver)
{
    const es_programme *p = search->programme;
    double highest = INFINITY;
    if (search->unserved_limit) return highest;
    for (size_t d = 0; d < p->n_devices; d++) {
        if (p->wire[receiver * p->n_devices + d] != ES_COST_NONE) continue;
        double best = p->direct_db[receiver * p->n_devices + d];
        for (size_t r = 0; r < p->n_repeaters; r++) best = fmax(best, p->heard_db[r * p->n_devices + d]);
        highest = fmin(highest, best);
    }
    return highest;
}

static int rising(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

typedef struct range {
    double above, to;
} range;

static size_t add_levels(double *level, size_t n, const double *db, size_t n_db, range wanted)
{
    for (size_t i = 0; i < n_db; i++)
        if (db[i] > wanted.above && db[i] <= wanted.to) level[n++] = db[i];
    return n;
}

/* The margins that could be the worst one, rising, each once; INFINITY stands for no radio link at all. */
static size_t list_levels(es_search *search, size_t receiver, range wanted)
{
    const es_programme *p = search->programme;
    const size_t n_devices = p->n_devices, n_repeaters = p->n_repeaters;
    double *level = search->level;
    const double none = INFINITY;
    size_t n = add_levels(level, 0, &none, 1, wanted);
    n = add_levels(level, n, p->direct_db + receiver * n_devices, n_devices, wanted);
    n = add_levels(level, n, p->heard_db, n_repeaters * n_devices, wanted);
    n = add_levels(level, n, p->up_db + receiver * n_repeaters, n_repeaters, wanted);
    if (p->relay_db) n = add_levels(level, n, p->relay_db, n_repeaters * n_repeaters, wanted);
    qsort(level, n, sizeof *level, rising);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (!kept || level[i] != level[kept - 1]) level[kept++] = level[i];
    return kept;
}

static earshot_status raise_floor(es_search *search, es_arrangement *a)
{
    const range wanted = {a->worst_db, highest_worst_db(search, a->receiver)};
    size_t low = 0, high = list_levels(search, a->receiver, wanted);
    while (low < high) { /* levels below low can be had, those from high on cannot */
        const size_t middle = low + (high - low) / 2;
        es_question question = es_search_question(search, a->receiver, search->level[middle]);
        question.cost_limit = a->cost;
        const earshot_status status = es_assign(&question, &search->answer);
        if (status) return status;
        if (search->answer.any) {
            keep(search, a);
            a->worst_db = es_arrangement_worst_db(search->programme, a);
            while (low < high && search->level[low] <= a->worst_db) low++;
        } else {
            if (search->answer.finding == ES_TIME_OUT) a->proven = false;
            high = middle;
        }
    }
    return EARSHOT_OK;
}

static earshot_status drop_repeaters(es_search *search, es_arrangement *a)
{
    if (!a->n_repeaters) return EARSHOT_OK;
    es_question question = es_search_question(search, a->receiver, a->worst_db);
    question.aim = ES_AIM_REPEATERS;
    question.cost_limit = a->cost;
    question.repeater_limit = (unsigned)a->n_repeaters - 1;
    const earshot_status status = es_assign(&question, &search->answer);
    if (status) return status;
    if (search->answer.finding == ES_TIME_OUT) a->proven = false;
    if (search->answer.any) keep(search, a);
    return EARSHOT_OK;
}

earshot_status es_search_margin(es_search *search, es_arrangement *a)
{
    if (!a->proven) return EARSHOT_OK;
    const earshot_status status = raise_floor(search, a);
    return status || !a->proven ? status : drop_repeaters(search, a);
}

earshot_status es_search_unserved(es_search *search, size_t receiver, size_t limit, size_t *n, bool *found)
{
    es_question question = es_search_question(search, receiver, search->programme->need_db);
    question.aim = ES_AIM_UNSERVED;
    question.unserved_limit = limit;
    const earshot_status status = es_assign(&question, &search->answer);
    *found = !status && search->answer.any;
    if (*found) *n = search->answer.n_unserved;
    return status;
}
