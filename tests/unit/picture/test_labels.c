/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "present/picture/marks.h"

enum { N = 60 };

/* A small generator of our own, the same everywhere. */
static double next(unsigned *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (double)(*seed >> 8) / 16777216.0;
}

static void open_pen(es_pen *pen)
{
    assert_true(es_pen_open(pen, cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL), EARSHOT_ENGLISH));
}

static bool apart(const es_label *a, const es_label *b)
{
    return a->left + a->width <= b->left || b->left + b->width <= a->left || a->top + a->height <= b->top ||
           b->top + b->height <= a->top;
}

static bool covers_mark(const es_label *l, const es_label *mark)
{
    return mark->x > l->left && mark->x < l->left + l->width && mark->y > l->top && mark->y < l->top + l->height;
}

static void check_places(const es_label *label, size_t n, es_box area)
{
    for (size_t i = 0; i < n; i++) {
        if (isnan(label[i].left)) continue;
        assert_true(label[i].left >= area.left && label[i].left + label[i].width <= area.right);
        assert_true(label[i].top >= area.top && label[i].top + label[i].height <= area.bottom);
        for (size_t k = 0; k < n; k++) {
            assert_false(covers_mark(&label[i], &label[k]));
            if (k != i && !isnan(label[k].left)) assert_true(apart(&label[i], &label[k]));
        }
    }
}

static void place(unsigned seed, double width, size_t n, size_t *placed)
{
    static const char *const WORDS[] = {"hall", "kitchen-door", "17", "garage-move: repeater"};
    const es_box area = {12.0, 7.0, 12.0 + width, 7.0 + 0.7 * width};
    es_label label[N] = {0};
    es_pen pen;
    open_pen(&pen);
    for (size_t i = 0; i < n; i++)
        label[i] = (es_label){.x = area.left + 8.0 + next(&seed) * (width - 16.0),
                              .y = area.top + 8.0 + next(&seed) * (0.7 * width - 16.0),
                              .words = WORDS[i % 4],
                              .important = i % 5 == 0};
    es_labels_place(&pen, label, n, area, NULL, 0);
    check_places(label, n, area);
    *placed = 0;
    for (size_t i = 0; i < n; i++) *placed += isnan(label[i].left) ? 0 : 1;
    es_pen_close(&pen);
}

static void labels_never_overlap(void **state)
{
    (void)state;
    size_t placed;
    for (unsigned seed = 1; seed <= 12; seed++) place(seed * 7919u, 380.0, N, &placed);
    assert_true(placed > 0);
}

static void all_find_a_place_where_there_is_room(void **state)
{
    (void)state;
    size_t placed;
    for (unsigned seed = 1; seed <= 12; seed++) {
        place(seed * 104729u, 700.0, 24, &placed);
        assert_int_equal(placed, 24);
    }
}

static void labels_keep_clear_of_what_is_taken(void **state)
{
    (void)state;
    const es_box area = {0.0, 0.0, 200.0, 100.0}, taken = {104.0, 40.0, 200.0, 60.0};
    es_label label = {.x = 100.0, .y = 50.0, .words = "beside"};
    es_pen pen;
    open_pen(&pen);
    es_labels_place(&pen, &label, 1, area, NULL, 0);
    assert_true(label.left > 100.0); /* to the right, where there is nothing */
    es_labels_place(&pen, &label, 1, area, &taken, 1);
    assert_true(label.left + label.width <= 104.0 || label.top + label.height <= 40.0 || label.top >= 60.0);
    es_pen_close(&pen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_never_overlap),
        cmocka_unit_test(all_find_a_place_where_there_is_room),
        cmocka_unit_test(labels_keep_clear_of_what_is_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
