/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Marks and labels of a storey. */
#ifndef ES_STOREY_H
#define ES_STOREY_H

#include "present/picture/marks.h"

/* What is marked on a storey. */
typedef struct es_posts {
    const earshot_plan *plan;
    unsigned storey;
    const earshot_check *check; /* for the verdicts; NULL: not judged */
    const char *fixed;          /* name of the receiver or mount that matters; NULL: none */
    bool numbered;              /* for a client: devices go by their number in the plan, from 1, and of the
                                   mounts only those that get a repeater are marked */
    long only_device;           /* only this device is marked, EARSHOT_NONE: all */
    const es_label *crossing;   /* [n_crossings] numbers of crossings, x and y on the page */
    size_t n_crossings;
} es_posts;

/* Draw marks, then labels that keep clear of `taken`. */
void es_posts_draw(es_pen *pen, const es_frame *frame, const es_posts *posts, const es_box *taken, size_t n_taken);
/* The label of a storey, or its name. */
const char *es_storey_words(const earshot_plan *plan, unsigned storey);

#endif
