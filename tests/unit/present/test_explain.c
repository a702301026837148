/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "earshot/present.h"
#include "present/obstacles.h"

/* A straight line up through two floors, one through a corner of two materials, one to a mount from either side. */
static const char PLAN[] =
    "plan 1\n"
    "band 868.30MHz\n"
    "need margin=5dB confidence=95%\n"
    "radio hub erp=13.25dBm gain=1.5dBi sensitivity=-105.5dBm twoway=yes\n"
    "radio both erp=9.75dBm gain=-4.5dBi sensitivity=-101.25dBm twoway=yes\n"
    "radio sensor erp=-27.5dBm\n"
    "material weak loss=433:3.25dB,868:3.25dB spread=1dB basis=judgement source=\"made up\"\n"
    "material strong \"Strong wall\" loss=433:17.5dB,868:17.5dB spread=1dB basis=judgement source=\"made up\"\n"
    "material opaque loss=433:140dB,868:140dB spread=1dB basis=judgement source=\"made up\"\n"
    "storey low level=0m height=2.5m\n"
    "slab weak -1,-1 5,-1 5,5 -1,5\n"
    "wall weak 10,0 12,0\n"
    "wall strong 12,0 12,4\n"
    "wall opaque 20,-3 20,9\n"
    "receiver panel 1,2 at=1.25m radio=hub mounting=0.5dB\n"
    "mount dull 19.9,-9 at=2m mounting=0dB\n"
    "mount good 21,-5 at=2m mounting=0dB\n"
    "mount dark 40,3 at=2m mounting=0dB\n"
    "device corner contact 23,-2 at=1.25m radio=sensor mounting=60dB\n"
    "storey mid level=2.75m height=2.5m\n"
    "slab strong -1,-1 5,-1 5,5 -1,5\n"
    "storey top level=5.5m height=2.5m\n"
    "device loft other 1,2 at=1.0m radio=both mounting=2.75dB\n";

typedef struct fixture {
    earshot_plan *plan;
    earshot_site *site;
    earshot_check check;
} fixture;

static void start(fixture *f, const char *text)
{
    static earshot_findings findings;
    earshot_error error = {0};
    *f = (fixture){0};
    if (earshot_plan_read(text, strlen(text), "test", &f->plan, &findings))
        print_error("%s %s\n", findings.mistake[0].message, findings.mistake[0].excerpt);
    assert_non_null(f->plan);
    assert_int_equal(earshot_site_new(f->plan, NULL, &f->site, &error), EARSHOT_OK);
    assert_int_equal(earshot_check_run(f->site, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &f->check, &error), EARSHOT_OK);
}

static void stop(fixture *f)
{
    earshot_check_clear(&f->check);
    earshot_site_free(f->site);
    earshot_plan_free(f->plan);
}

static char *explain(const fixture *f, size_t device)
{
    const earshot_look look = {false, 2000};
    earshot_text text = {0};
    assert_int_equal(earshot_present_explanation(&f->check, device, &look, &text), EARSHOT_OK);
    return text.data;
}

/* The last number of a line but `back`. */
static double number_at(const char *line, size_t back)
{
    double value[8] = {0};
    size_t n = 0;
    const char *end = line + strcspn(line, "\n");
    for (const char *c = line; c < end;) {
        double read;
        const size_t used = c == line || c[-1] == ' ' ? es_number_read(c, (size_t)(end - c), &read) : 0;
        if (used && (c + used == end || c[used] == ' ') && n < 8) value[n++] = read;
        c += used ? used : 1;
    }
    assert_true(n > back);
    return value[n - 1 - back];
}

static const char *line_of(const char *text, const char *start_of_line)
{
    const char *found = strstr(text, start_of_line);
    if (!found) print_error("no line '%s' in:\n%s", start_of_line, text);
    assert_non_null(found);
    return found;
}

static void every_level_is_the_one_above_and_its_term(void **state)
{
    (void)state;
    fixture f;
    start(&f, PLAN);
    for (size_t device = 0; device < f.check.n_devices; device++) {
        char *text = explain(&f, device);
        const char *line = line_of(text, "sent (ERP)");
        double level = number_at(line, 0);
        check_close(level, f.check.device[device].link.out.erp_dbm, 0.005, "dBm");
        for (line = strchr(line, '\n') + 1; strncmp(line, "arrives", 7) != 0; line = strchr(line, '\n') + 1) {
            check_close(number_at(line, 0), level + number_at(line, 1), 0.011, "dBm");
            level = number_at(line, 0);
        }
        check_close(number_at(line, 0), level, 0.011, "dBm");
        check_close(level, f.check.device[device].link.out.level_dbm, 0.006, "dBm");
        free(text);
    }
    stop(&f);
}

static void floors_are_listed_and_what_they_lose_less_together(void **state)
{
    (void)state;
    fixture f;
    start(&f, PLAN);
    char *text = explain(&f, 1);
    /* From the device in the loft: the upper slab first. */
    const char *upper = line_of(text, "slab strong"), *lower = line_of(text, "slab weak");
    assert_true(upper < lower);
    check_close(number_at(upper, 1), -17.5, 0.0, "dB");
    check_close(number_at(lower, 1), -3.25, 0.0, "dB");
    const earshot_loss *loss = &f.check.device[1].link.loss;
    const double rest = 17.5 + 3.25 - (loss->loss_db - loss->free_space_db);
    check_close(number_at(line_of(text, "floors together"), 1), rest, 0.006, "dB");
    free(text);
    stop(&f);
}

static void both_ways_are_told_and_the_worse_one_decides(void **state)
{
    (void)state;
    fixture f;
    start(&f, PLAN);
    const earshot_link *link = &f.check.device[1].link;
    assert_true(link->back.margin_db < link->out.margin_db);
    char *text = explain(&f, 1);
    line_of(text, "The other way, from the receiver to the device: sent 13.25 dBm ERP, antenna -4.50 dBi");
    line_of(text, "This way is the worse one and decides.");
    check_close(number_at(line_of(text, "the other way is worse"), 0), link->margin_db - link->out.margin_db, 0.006,
                "dB");
    free(text);
    stop(&f);
}

static void of_a_corner_the_costlier_wall_is_named(void **state)
{
    (void)state;
    fixture f;
    es_obstacles found;
    start(&f, PLAN);
    const earshot_vec3 a = {10, 2, 1.25}, b = {14, -2, 1.25}; /* through 12,0 */
    assert_int_equal(es_obstacles_find(f.site, a, b, 868.3e6, &found), EARSHOT_OK);
    assert_int_equal(found.n, 1);
    check_close(found.item[0].loss_db, 17.5, 0.0, "dB");
    earshot_text words = {0};
    es_element_words(f.site, found.item[0].element, &words);
    assert_string_equal(words.data, "the strong wall");
    earshot_text_clear(&words);
    es_obstacles_clear(&found);
    stop(&f);
}

static void the_best_of_mounts_that_do_not_help_is_named(void **state)
{
    (void)state;
    fixture f;
    start(&f, PLAN);
    assert_int_equal(f.check.device[0].verdict, EARSHOT_VERDICT_WIRE);
    char *text = explain(&f, 0);
    line_of(text, "None of the plan's mounts helps; the best is good, with dependable margins of ");
    line_of(text, "A wire: ");
    free(text);
    stop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_level_is_the_one_above_and_its_term),
        cmocka_unit_test(floors_are_listed_and_what_they_lose_less_together),
        cmocka_unit_test(both_ways_are_told_and_the_worse_one_decides),
        cmocka_unit_test(of_a_corner_the_costlier_wall_is_named),
        cmocka_unit_test(the_best_of_mounts_that_do_not_help_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
