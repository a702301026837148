/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making a question smaller before the solver sees it, without changing its answer. */
#include <string.h>

#include "base/arena.h"
#include "decide/assign.h"

bool es_may_hear(const es_question *question, size_t repeater, size_t device)
{
    const es_programme *p = question->programme;
    const long forced = question->forced[device];
    if (!p->device[device].radio || (forced != ES_WAY_ANY && forced != (long)repeater)) return false;
    if (p->direct_db[question->receiver * p->n_devices + device] >= p->enough_db) return false;
    return p->heard_db[repeater * p->n_devices + device] >= question->floor_db;
}

bool es_may_go_direct(const es_question *question, size_t device)
{
    const es_programme *p = question->programme;
    const long forced = question->forced[device];
    if (!p->device[device].radio || (forced != ES_WAY_ANY && forced != ES_WAY_DIRECT)) return false;
    return p->direct_db[question->receiver * p->n_devices + device] >= question->floor_db;
}

bool es_may_wire(const es_question *question, size_t device)
{
    const es_programme *p = question->programme;
    const long forced = question->forced[device];
    if (forced != ES_WAY_ANY && forced != ES_WAY_WIRE) return false;
    return p->wire[question->receiver * p->n_devices + device] != ES_COST_NONE;
}

static bool relays(const es_question *question, size_t hearing, size_t heard)
{
    const es_programme *p = question->programme;
    return hearing != heard && p->relay_db[hearing * p->n_repeaters + heard] >= question->floor_db;
}

/* Breadth first from the receiver. */
void es_depths(const es_question *question, const unsigned char *use, unsigned hops, unsigned char *depth)
{
    const es_programme *p = question->programme;
    const double *up = p->up_db + question->receiver * p->n_repeaters;
    memset(depth, 0, p->n_repeaters);
    for (size_t r = 0; r < p->n_repeaters && hops > 0; r++)
        depth[r] = use[r] != ES_USE_OUT && up[r] >= question->floor_db;
    for (unsigned h = 2; h <= hops; h++) {
        for (size_t r = 0; r < p->n_repeaters; r++) {
            if (depth[r] || use[r] == ES_USE_OUT) continue;
            for (size_t i = 0; i < p->n_repeaters && !depth[r]; i++)
                if (depth[i] == h - 1 && relays(question, i, r)) depth[r] = (unsigned char)h;
        }
    }
}

static unsigned smaller(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

static void drop_unreachable(es_reduced *reduced)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    const es_programme_receiver *receiver = &p->receiver[q->receiver];
    /* Lifting the number of repeaters is what ES_AIM_LIMITS asks about. */
    const unsigned allowed =
        q->aim == ES_AIM_LIMITS ? (unsigned)p->n_repeaters : smaller(p->max_repeaters, q->repeater_limit);
    reduced->hops = smaller(smaller(receiver->hops, allowed), 255);
    if (!p->relay_db) reduced->hops = smaller(reduced->hops, 1);
    for (size_t r = 0; r < p->n_repeaters; r++)
        reduced->use[r] = p->repeater[r].spot == receiver->spot ? ES_USE_OUT : q->use[r];
    es_depths(q, reduced->use, reduced->hops, reduced->depth);
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!reduced->depth[r]) reduced->use[r] = ES_USE_OUT;
        if (reduced->use[r] == ES_USE_OUT && q->use[r] == ES_USE_IN) reduced->impossible = true;
    }
}

static bool in_kinds(const es_question *question, size_t device, const es_limit *limit)
{
    return limit->kinds >> question->programme->device[device].kind & 1u;
}

static void look_at_devices(es_reduced *reduced)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    for (size_t d = 0; d < p->n_devices; d++) {
        reduced->direct[d] = es_may_go_direct(q, d);
        reduced->cover[d] = !reduced->direct[d] && q->forced[d] != ES_WAY_NONE;
        reduced->radio[d] = reduced->direct[d];
        for (size_t r = 0; r < p->n_repeaters && !reduced->radio[d]; r++)
            reduced->radio[d] = reduced->use[r] != ES_USE_OUT && es_may_hear(q, r, d);
    }
}

static void look_at_limits(es_reduced *reduced)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    const es_programme_receiver *receiver = &p->receiver[q->receiver];
    for (size_t d = 0; d < p->n_devices; d++) reduced->wire[d] = reduced->cover[d] && es_may_wire(q, d);
    for (size_t k = 0; k < receiver->n_limits; k++) {
        size_t n = 0;
        for (size_t d = 0; d < p->n_devices; d++) n += reduced->radio[d] && in_kinds(q, d, &receiver->limit[k]);
        reduced->limit_binds[k] = n > receiver->limit[k].count;
        if (!reduced->limit_binds[k]) continue;
        for (size_t d = 0; d < p->n_devices; d++)
            if (in_kinds(q, d, &receiver->limit[k])) reduced->wire[d] = reduced->wire[d] || es_may_wire(q, d);
    }
}

/* A limit of a repeater matters only if more devices that need it could use it than it holds: a device that may go
 * directly does so at no cost. */
static bool may_be_full(const es_reduced *reduced, size_t repeater)
{
    const es_question *q = reduced->question;
    const es_programme_repeater *at = &q->programme->repeater[repeater];
    for (size_t k = 0; k < at->n_limits; k++) {
        size_t n = 0;
        for (size_t d = 0; d < q->programme->n_devices; d++)
            n += reduced->cover[d] && in_kinds(q, d, &at->limit[k]) && es_may_hear(q, repeater, d);
        if (n > at->limit[k].count) return true;
    }
    return false;
}

static bool may_drop(const es_reduced *reduced, size_t repeater)
{
    const es_question *q = reduced->question;
    const bool wanted = repeater >= q->some_from && repeater < q->some_to;
    return reduced->use[repeater] == ES_USE_FREE && !wanted;
}

static bool subset(const uint64_t *a, const uint64_t *b, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (a[i] & ~b[i]) return false;
    return true;
}

static bool is_empty(const uint64_t *a, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (a[i]) return false;
    return true;
}

static bool relays_as_well(const es_reduced *reduced, size_t r, size_t other)
{
    const es_question *q = reduced->question;
    if (reduced->hops < 2) return true;
    if (reduced->depth[other] != 1) return false;
    for (size_t i = 0; i < q->programme->n_repeaters; i++)
        if (i != other && relays(q, r, i) && !relays(q, other, i)) return false;
    return true;
}

/* A repeater is not needed if another, no dearer and never full, hears every device that it hears (and, where hops
 * are allowed, is heard by the receiver itself and hears every repeater that it hears): whatever uses the first can
 * use the other instead. */
static void drop_dominated(es_reduced *reduced, const uint64_t *set, size_t words, bool near)
{
    const es_programme *p = reduced->question->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!may_drop(reduced, r) || near != (reduced->depth[r] == 1)) continue;
        const uint64_t *mine = set + r * words;
        bool drop = reduced->hops < 2 && is_empty(mine, words);
        for (size_t i = 0; i < p->n_repeaters && !drop; i++) {
            if (i == r || reduced->use[i] == ES_USE_OUT || reduced->tight[i]) continue;
            if (p->repeater[i].cost > p->repeater[r].cost || !subset(mine, set + i * words, words)) continue;
            drop = relays_as_well(reduced, r, i);
        }
        if (drop) reduced->use[r] = ES_USE_OUT;
    }
}

static earshot_status drop_repeaters(es_reduced *reduced)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    const size_t words = (p->n_devices + 63) / 64;
    uint64_t *set = es_arena_take(reduced->arena, p->n_repeaters * words, sizeof *set);
    if (!set) return EARSHOT_MEMORY;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (reduced->use[r] == ES_USE_OUT) continue;
        for (size_t d = 0; d < p->n_devices; d++)
            if (reduced->cover[d] && es_may_hear(q, r, d)) set[r * words + d / 64] |= (uint64_t)1 << d % 64;
    }
    /* Those that the receiver does not hear itself go first: of two that hear the same, the nearer one is kept. */
    drop_dominated(reduced, set, words, false);
    drop_dominated(reduced, set, words, true);
    return EARSHOT_OK;
}

static bool take_arrays(es_reduced *reduced)
{
    const es_question *q = reduced->question;
    const size_t n_devices = q->programme->n_devices, n_repeaters = q->programme->n_repeaters;
    struct es_arena *arena = reduced->arena;
    reduced->use = es_arena_take(arena, n_repeaters, 1);
    reduced->depth = es_arena_take(arena, n_repeaters, 1);
    reduced->tight = es_arena_take(arena, n_repeaters, sizeof(bool));
    reduced->direct = es_arena_take(arena, n_devices, sizeof(bool));
    reduced->wire = es_arena_take(arena, n_devices, sizeof(bool));
    reduced->radio = es_arena_take(arena, n_devices, sizeof(bool));
    reduced->cover = es_arena_take(arena, n_devices, sizeof(bool));
    reduced->limit_binds = es_arena_take(arena, q->programme->receiver[q->receiver].n_limits, sizeof(bool));
    return reduced->use && reduced->depth && reduced->tight && reduced->direct && reduced->wire && reduced->radio &&
           reduced->cover && reduced->limit_binds;
}

earshot_status es_reduce(const es_question *question, bool relaxed, struct es_arena *arena, es_reduced *reduced)
{
    *reduced = (es_reduced){.question = question, .arena = arena, .relaxed = relaxed};
    if (!take_arrays(reduced)) return EARSHOT_MEMORY;
    drop_unreachable(reduced);
    look_at_devices(reduced);
    look_at_limits(reduced);
    for (size_t r = 0; r < question->programme->n_repeaters; r++)
        reduced->tight[r] = !relaxed && reduced->use[r] != ES_USE_OUT && may_be_full(reduced, r);
    return drop_repeaters(reduced);
}
