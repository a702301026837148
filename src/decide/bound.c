/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A lower bound on the cost without the solver. */
#include <stdlib.h>

#include "base/arena.h"
#include "decide/assign.h"

typedef struct payer {
    size_t device, n_ways;
} payer;

static int by_ways(const void *a, const void *b)
{
    const payer *one = a, *two = b;
    if (one->n_ways != two->n_ways) return one->n_ways < two->n_ways ? -1 : 1;
    return one->device < two->device ? -1 : one->device > two->device;
}

static int falling(const void *a, const void *b)
{
    const es_cost one = *(const es_cost *)a, two = *(const es_cost *)b;
    return (one < two) - (one > two);
}

static size_t list_payers(const es_reduced *reduced, payer *list)
{
    const es_question *q = reduced->question;
    size_t n = 0;
    for (size_t d = 0; d < q->programme->n_devices; d++) {
        if (!reduced->cover[d]) continue;
        size_t ways = reduced->wire[d];
        for (size_t r = 0; r < q->programme->n_repeaters; r++)
            ways += reduced->use[r] != ES_USE_OUT && es_may_hear(q, r, d);
        list[n++] = (payer){d, ways};
    }
    qsort(list, n, sizeof *list, by_ways);
    return n;
}

/* The most a device can be charged: until a repeater that hears it is paid for, or its wire is. */
static es_cost charge(const es_reduced *reduced, size_t device, es_cost *unpaid)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    es_cost price = reduced->wire[device] ? p->wire[q->receiver * p->n_devices + device] : ES_COST_NONE;
    for (size_t r = 0; r < p->n_repeaters; r++)
        if (reduced->use[r] != ES_USE_OUT && es_may_hear(q, r, device) && unpaid[r] < price) price = unpaid[r];
    for (size_t r = 0; r < p->n_repeaters; r++)
        if (reduced->use[r] != ES_USE_OUT && es_may_hear(q, r, device)) unpaid[r] -= price;
    return price;
}

earshot_status es_lower_bound(const es_reduced *reduced, es_cost *bound)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    payer *list = es_arena_take(reduced->arena, p->n_devices, sizeof *list);
    es_cost *unpaid = es_arena_take(reduced->arena, p->n_repeaters, sizeof *unpaid);
    es_cost *price = es_arena_take(reduced->arena, p->n_devices, sizeof *price);
    if (!list || !unpaid || !price) return EARSHOT_MEMORY;
    *bound = 0;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (reduced->use[r] == ES_USE_IN)
            *bound += p->repeater[r].cost;
        else
            unpaid[r] = p->repeater[r].cost;
    }
    const size_t n = list_payers(reduced, list);
    size_t without = 0;
    for (size_t i = 0; i < n; i++) {
        if (list[i].n_ways)
            price[i - without] = charge(reduced, list[i].device, unpaid);
        else
            without++;
    }
    if (without > q->unserved_limit) {
        *bound = ES_COST_NONE;
        return EARSHOT_OK;
    }
    /* Those that may go without a way could be the dearest. */
    const size_t n_prices = n - without, spared = q->unserved_limit - without;
    qsort(price, n_prices, sizeof *price, falling);
    for (size_t i = spared < n_prices ? spared : n_prices; i < n_prices; i++) *bound += price[i];
    return EARSHOT_OK;
}
