/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Settling the order of preference for one receiver place by a row of questions. */
#ifndef ES_SEARCH_H
#define ES_SEARCH_H

#include "decide/assign.h"

typedef struct es_search {
    const es_programme *programme;
    const struct timespec *deadline;
    int memory_mb;
    size_t unserved_limit;
    unsigned char *use; /* [n_repeaters] scratch of the questions */
    long *forced;       /* [n_devices] */
    es_answer answer;
    double *level; /* [n_levels] room for every margin of one receiver place */
} es_search;

/* EARSHOT_OK or EARSHOT_MEMORY. Everything lives in the arena. */
earshot_status es_search_begin(es_search *search, const es_programme *programme, struct es_arena *arena);

/* A question with nothing fixed. */
es_question es_search_question(es_search *search, size_t receiver, double floor_db);

/* Least cost for one receiver place, no more than cost_limit, no margin below floor_db. On ES_FOUND, and on
 * ES_TIME_OUT with search->answer.any, the arrangement (arrays in caller's memory) holds it. */
earshot_status es_search_cost(es_search *search, size_t receiver, double floor_db, es_cost cost_limit,
                              es_arrangement *arrangement);
/* At that cost: the largest worst margin, then the fewest repeaters. Clears `proven` when time runs out. */
earshot_status es_search_margin(es_search *search, es_arrangement *arrangement);
/* At that cost, margin and number of repeaters: the first by index. */
earshot_status es_search_first(es_search *search, es_arrangement *arrangement);
/* Fewest devices without a way for one receiver place; no more than `limit`. */
earshot_status es_search_unserved(es_search *search, size_t receiver, size_t limit, size_t *n, bool *found);

/* Smallest margin of the radio links of an arrangement, each repeater reporting by its best way. */
double es_arrangement_worst_db(const es_programme *programme, const es_arrangement *arrangement);
/* Fill `up` of the used repeaters (those not ES_UP_UNUSED) with the first choice by index that keeps within the hops
 * and the floor. false: there is none. */
bool es_arrangement_report(const es_programme *programme, double floor_db, es_arrangement *arrangement);

/* The smallest set of reasons why an arrangement leaves devices without a way. *reason is malloc'ed. */
earshot_status es_reasons_find(es_search *search, size_t receiver, es_reason **reason, size_t *n_reasons);

#endif
