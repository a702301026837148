/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Why some devices are left without a way: the fewest things that would have to change. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "decide/search.h"

/* What the best link of a device lacks, to the receiver or to a repeater that can itself be heard. */
static es_reason no_way(const es_reduced *reduced, size_t device)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    es_reason reason = {.kind = ES_REASON_NO_WAY, .device = device, .short_db = INFINITY, .nearest = ES_WAY_NONE};
    if (!p->device[device].radio) return reason;
    double best = p->direct_db[q->receiver * p->n_devices + device];
    if (best > -INFINITY) reason.nearest = ES_WAY_DIRECT;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        const double heard = p->heard_db[r * p->n_devices + device];
        const bool stands = reduced->depth[r] && p->repeater[r].spot != p->receiver[q->receiver].spot;
        if (!stands || heard <= best) continue;
        best = heard;
        reason.nearest = (long)r;
    }
    if (reason.nearest != ES_WAY_NONE) reason.short_db = p->need_db - best;
    return reason;
}

static size_t reasons_of_devices(const es_reduced *reduced, long *forced, es_reason *list)
{
    const es_question *q = reduced->question;
    size_t n = 0;
    for (size_t d = 0; d < q->programme->n_devices; d++) {
        if (reduced->radio[d] || es_may_wire(q, d)) continue;
        list[n++] = no_way(reduced, d);
        forced[d] = ES_WAY_NONE;
    }
    return n;
}

static es_reason_kind kind_of(size_t which, size_t n_limits)
{
    if (which < n_limits) return ES_REASON_RECEIVER_LIMIT;
    if (which == n_limits) return ES_REASON_REPEATER_LIMIT;
    return which == n_limits + 1 ? ES_REASON_REPEATERS : ES_REASON_INPUTS;
}

static size_t reasons_of_limits(const unsigned *lifted, size_t n_limits, es_reason *list)
{
    size_t n = 0;
    for (size_t i = 0; i < n_limits + 3; i++)
        if (lifted[i])
            list[n++] =
                (es_reason){.kind = kind_of(i, n_limits), .limit = i, .amount = lifted[i], .nearest = ES_WAY_NONE};
    return n;
}

static earshot_status collect(es_search *search, size_t receiver, struct es_arena *arena, es_reason *list, size_t *n)
{
    es_question question = es_search_question(search, receiver, search->programme->need_db);
    question.aim = ES_AIM_LIMITS;
    question.unserved_limit = 0;
    es_reduced reduced;
    earshot_status status = es_reduce(&question, false, arena, &reduced);
    if (status) return status;
    *n = reasons_of_devices(&reduced, search->forced, list);
    const size_t n_limits = search->programme->receiver[receiver].n_limits;
    search->answer.lifted = es_arena_take(arena, n_limits + 3, sizeof(unsigned));
    if (!search->answer.lifted) return EARSHOT_MEMORY;
    status = es_assign(&question, &search->answer);
    if (!status && search->answer.any) *n += reasons_of_limits(search->answer.lifted, n_limits, list + *n);
    search->answer.lifted = NULL;
    return status;
}

earshot_status es_reasons_find(es_search *search, size_t receiver, es_reason **reason, size_t *n_reasons)
{
    const es_programme *p = search->programme;
    es_reason *list = calloc(p->n_devices + p->receiver[receiver].n_limits + 3, sizeof *list);
    struct es_arena *arena = es_arena_new();
    size_t n = 0;
    const earshot_status status = list && arena ? collect(search, receiver, arena, list, &n) : EARSHOT_MEMORY;
    es_arena_free(arena);
    if (status) {
        free(list);
        return status;
    }
    *reason = list;
    *n_reasons = n;
    return EARSHOT_OK;
}
