/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of many boxes meet one box, without looking at all of them. */
#ifndef ES_BOX_TREE_H
#define ES_BOX_TREE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct es_box {
    double x0, y0, x1, y1; /* x0 <= x1, y0 <= y1 */
} es_box;

typedef struct es_box_tree es_box_tree;

/* NULL when memory is out. Copies the boxes; building takes n log n. */
es_box_tree *es_box_tree_new(const es_box *box, size_t n);
void es_box_tree_free(es_box_tree *tree);

/* Called for each box that meets the one asked for, touching included; false ends the search. */
typedef bool es_box_visit(void *context, size_t box);
void es_box_tree_find(const es_box_tree *tree, es_box where, es_box_visit *visit, void *context);

#endif
