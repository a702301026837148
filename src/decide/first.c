/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Of all arrangements that are equally good, the first by index: so that the answer does not depend on the solver. */
#include <string.h>

#include "decide/search.h"

/* One arrangement being made the first: it always keeps all rules, and only moves forward in the order. */
typedef struct pick {
    es_search *search;
    es_arrangement *arrangement;
    es_question question;
} pick;

static void take_answer(pick *k)
{
    es_arrangement *a = k->arrangement;
    const es_programme *p = k->search->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) a->up[r] = k->search->answer.used[r] ? ES_UP_RECEIVER : ES_UP_UNUSED;
    memcpy(a->way, k->search->answer.way, p->n_devices * sizeof *a->way);
    a->expanders = k->search->answer.expanders;
}

static earshot_status ask(pick *k, bool *yes)
{
    const earshot_status status = es_assign(&k->question, &k->search->answer);
    *yes = !status && k->search->answer.any;
    if (!status && k->search->answer.finding == ES_TIME_OUT && !*yes) k->arrangement->proven = false;
    if (*yes) take_answer(k);
    return status;
}

static size_t next_used(const pick *k, size_t from)
{
    size_t r = from;
    while (k->arrangement->up[r] == ES_UP_UNUSED) r++;
    return r;
}

/* The smallest index from `from` on that the next used repeater can have. */
static earshot_status pick_next(pick *k, size_t from, size_t *picked)
{
    size_t low = from, high = next_used(k, from);
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        k->question.some_from = low;
        k->question.some_to = middle + 1;
        bool yes;
        const earshot_status status = ask(k, &yes);
        if (status) return status;
        if (yes)
            high = next_used(k, low);
        else
            low = middle + 1;
    }
    k->question.some_from = k->question.some_to = 0;
    *picked = high;
    return EARSHOT_OK;
}

static earshot_status pick_repeaters(pick *k)
{
    const size_t n = k->search->programme->n_repeaters;
    size_t from = 0;
    for (size_t i = 0; i < k->arrangement->n_repeaters; i++) {
        size_t picked;
        const earshot_status status = pick_next(k, from, &picked);
        if (status) return status;
        memset(k->search->use + from, ES_USE_OUT, picked - from);
        k->search->use[picked] = ES_USE_IN;
        from = picked + 1;
    }
    memset(k->search->use + from, ES_USE_OUT, n - from);
    return EARSHOT_OK;
}

/* Try a way on the arrangement as it stands, all else unchanged. */
static bool fits_as_it_stands(pick *k, size_t device, long way)
{
    es_answer *answer = &k->search->answer;
    const es_programme *p = k->search->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) answer->used[r] = k->arrangement->up[r] != ES_UP_UNUSED;
    memcpy(answer->way, k->arrangement->way, p->n_devices * sizeof *answer->way);
    answer->way[device] = way;
    es_answer_total(&k->question, answer);
    if (!es_answer_keeps(&k->question, answer)) return false;
    take_answer(k);
    return true;
}

/* The ways of a device in their order: direct, repeaters, wire, none. */
static long next_way(const pick *k, long way)
{
    if (way == ES_WAY_WIRE) return ES_WAY_NONE;
    const long n = (long)k->search->programme->n_repeaters;
    for (long r = way + 1; r < n; r++)
        if (k->search->use[r] == ES_USE_IN) return r;
    return ES_WAY_WIRE;
}

static bool is_open(const pick *k, size_t device, long way)
{
    if (way == ES_WAY_DIRECT) return es_may_go_direct(&k->question, device);
    if (way == ES_WAY_WIRE) return es_may_wire(&k->question, device);
    return way < 0 || es_may_hear(&k->question, (size_t)way, device);
}

static earshot_status pick_way(pick *k, size_t device)
{
    const long *now = &k->arrangement->way[device];
    long *forced = &k->search->forced[device];
    for (long way = ES_WAY_DIRECT; way != *now; way = next_way(k, way)) {
        *forced = ES_WAY_ANY;
        if (!is_open(k, device, way)) continue;
        if (fits_as_it_stands(k, device, way)) break;
        *forced = way;
        bool yes;
        const earshot_status status = ask(k, &yes);
        if (status) return status;
        if (yes) break;
    }
    *forced = *now;
    /* The question's limit is on devices not yet forced. */
    if (*now == ES_WAY_NONE) k->question.unserved_limit--;
    return EARSHOT_OK;
}

earshot_status es_search_first(es_search *search, es_arrangement *a)
{
    pick k = {search, a, es_search_question(search, a->receiver, a->worst_db)};
    k.question.cost_limit = a->cost;
    k.question.repeater_limit = (unsigned)a->n_repeaters;
    k.question.unserved_limit = a->n_unserved;
    earshot_status status = a->proven ? pick_repeaters(&k) : EARSHOT_OK;
    for (size_t d = 0; d < search->programme->n_devices && a->proven && !status; d++) status = pick_way(&k, d);
    if (status) return status;
    return es_arrangement_report(search->programme, a->worst_db, a) ? EARSHOT_OK : EARSHOT_INTERNAL;
}
