/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Boxes are sorted into strips by x, within a strip by y, and packed bottom up (S. Leutenegger, M. Lopez,
 * J. Edgington, "STR: a simple and efficient algorithm for R-tree packing", ICDE 1997). The tree is full but for its
 * end, so children are found by arithmetic. */
#include "plan/box_tree.h"

#include <math.h>
#include <stdlib.h>

enum { FAN = 8, MAX_LEVELS = 24 };

typedef struct entry {
    es_box box;
    size_t item;
} entry;

struct es_box_tree {
    entry *leaf; /* [n] in packed order */
    size_t n;
    es_box *node;                                        /* all levels, the lowest first */
    size_t level_start[MAX_LEVELS], level_n[MAX_LEVELS]; /* level 0: one node per FAN leaves */
    size_t n_levels;
};

static int order(double a, double b, size_t item_a, size_t item_b)
{
    if (a != b) return a < b ? -1 : 1;
    return item_a < item_b ? -1 : item_a > item_b;
}

static int by_x(const void *a, const void *b)
{
    const entry *p = a, *q = b;
    return order(p->box.x0 + p->box.x1, q->box.x0 + q->box.x1, p->item, q->item);
}

static int by_y(const void *a, const void *b)
{
    const entry *p = a, *q = b;
    return order(p->box.y0 + p->box.y1, q->box.y0 + q->box.y1, p->item, q->item);
}

static void pack(entry *leaf, size_t n)
{
    const double pages = ceil((double)n / FAN);
    const size_t strip = (size_t)ceil(sqrt(pages)) * FAN;
    qsort(leaf, n, sizeof *leaf, by_x);
    for (size_t at = 0; at < n; at += strip) {
        qsort(leaf + at, n - at < strip ? n - at : strip, sizeof *leaf, by_y);
    }
}

static es_box join(es_box a, es_box b)
{
    return (es_box){fmin(a.x0, b.x0), fmin(a.y0, b.y0), fmax(a.x1, b.x1), fmax(a.y1, b.y1)};
}

static es_box child_box(const es_box_tree *tree, size_t level, size_t i)
{
    return level == 0 ? tree->leaf[i].box : tree->node[tree->level_start[level - 1] + i];
}

static void build_level(es_box_tree *tree, size_t level, size_t start, size_t n_children)
{
    const size_t n = (n_children + FAN - 1) / FAN;
    tree->level_start[level] = start;
    tree->level_n[level] = n;
    for (size_t i = 0; i < n; i++) {
        es_box box = child_box(tree, level, i * FAN);
        for (size_t c = i * FAN + 1; c < n_children && c < (i + 1) * FAN; c++) {
            box = join(box, child_box(tree, level, c));
        }
        tree->node[start + i] = box;
    }
}

static void build(es_box_tree *tree)
{
    size_t start = 0, n_children = tree->n;
    while (n_children && (tree->n_levels == 0 || n_children > 1)) {
        build_level(tree, tree->n_levels, start, n_children);
        n_children = tree->level_n[tree->n_levels];
        start += n_children;
        tree->n_levels++;
    }
}

es_box_tree *es_box_tree_new(const es_box *box, size_t n)
{
    es_box_tree *tree = calloc(1, sizeof *tree);
    if (!tree) return NULL;
    tree->n = n;
    tree->leaf = calloc(n + 1, sizeof *tree->leaf);
    tree->node = calloc(n / (FAN - 1) + MAX_LEVELS, sizeof *tree->node);
    if (!tree->leaf || !tree->node) {
        es_box_tree_free(tree);
        return NULL;
    }
    for (size_t i = 0; i < n; i++) tree->leaf[i] = (entry){box[i], i};
    pack(tree->leaf, n);
    build(tree);
    return tree;
}

void es_box_tree_free(es_box_tree *tree)
{
    if (!tree) return;
    free(tree->leaf);
    free(tree->node);
    free(tree);
}

static bool meet(es_box a, es_box b)
{
    return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}

static bool find(const es_box_tree *tree, size_t level, size_t i, es_box where, es_box_visit *visit, void *context)
{
    if (!meet(tree->node[tree->level_start[level] + i], where)) return true;
    const size_t n_children = level == 0 ? tree->n : tree->level_n[level - 1];
    for (size_t c = i * FAN; c < n_children && c < (i + 1) * FAN; c++) {
        if (level > 0) {
            if (!find(tree, level - 1, c, where, visit, context)) return false;
        } else if (meet(tree->leaf[c].box, where) && !visit(context, tree->leaf[c].item)) {
            return false;
        }
    }
    return true;
}

void es_box_tree_find(const es_box_tree *tree, es_box where, es_box_visit *visit, void *context)
{
    if (tree->n_levels) find(tree, tree->n_levels - 1, 0, where, visit, context);
}
