/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tree against looking at every box. */
#include "support/check.h"

#include <stdbool.h>
#include <string.h>

#include "plan/box_tree.h"
#include "support/random.h"

enum { MOST = 700 };

static es_box box[MOST];

static es_box random_box(uint64_t *seed, double size)
{
    const double x = random_between(seed, -50, 50), y = random_between(seed, -30, 70);
    return (es_box){x, y, x + random_between(seed, 0, size), y + random_between(seed, 0, size)};
}

static bool meet(es_box a, es_box b)
{
    return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}

static bool count(void *context, size_t i)
{
    unsigned *seen = context;
    seen[i]++;
    return true;
}

static void check_search(const es_box_tree *tree, size_t n, es_box where)
{
    unsigned seen[MOST] = {0};
    es_box_tree_find(tree, where, count, seen);
    for (size_t i = 0; i < n; i++) assert_int_equal(seen[i], meet(box[i], where));
}

static void finds_what_meets_once_each(void **state)
{
    (void)state;
    static const size_t SIZES[] = {0, 1, 2, 7, 8, 9, 63, 64, 65, 200, 513, MOST};
    uint64_t seed = 11;
    for (size_t s = 0; s < sizeof SIZES / sizeof SIZES[0]; s++) {
        for (size_t i = 0; i < SIZES[s]; i++) box[i] = random_box(&seed, i % 20 ? 2 : 60);
        es_box_tree *tree = es_box_tree_new(box, SIZES[s]);
        assert_non_null(tree);
        for (int q = 0; q < 50; q++) check_search(tree, SIZES[s], random_box(&seed, q % 3 ? 5 : 0));
        es_box_tree_free(tree);
    }
}

static void touching_boxes_meet(void **state)
{
    (void)state;
    box[0] = (es_box){1.5, 2.5, 3.5, 2.5};
    es_box_tree *tree = es_box_tree_new(box, 1);
    check_search(tree, 1, (es_box){3.5, 0, 9, 2.5});
    check_search(tree, 1, (es_box){0, 0, 1.5, 2.5});
    check_search(tree, 1, (es_box){0, 2.5, 1.5, 4});
    check_search(tree, 1, (es_box){2, 2.5, 2, 2.5});
    check_search(tree, 1, (es_box){3.6, 0, 9, 9});
    es_box_tree_free(tree);
}

static bool stop(void *context, size_t i)
{
    (void)i;
    ++*(int *)context;
    return false;
}

static void a_search_can_be_ended(void **state)
{
    (void)state;
    uint64_t seed = 3;
    for (size_t i = 0; i < MOST; i++) box[i] = random_box(&seed, 3);
    es_box_tree *tree = es_box_tree_new(box, MOST);
    int visits = 0;
    es_box_tree_find(tree, (es_box){-100, -100, 100, 100}, stop, &visits);
    assert_int_equal(visits, 1);
    es_box_tree_free(tree);
    es_box_tree_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_what_meets_once_each),
        cmocka_unit_test(touching_boxes_meet),
        cmocka_unit_test(a_search_can_be_ended),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
