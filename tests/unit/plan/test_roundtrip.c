/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is written reads back to an equal plan, and is written the same again. */
#include "support/check.h"

#include "base/number.h"
#include "support/plans.h"
#include "support/random_plan.h"

static char *written(const earshot_plan *plan)
{
    char *text = NULL;
    assert_int_equal(earshot_plan_write(plan, &text), EARSHOT_OK);
    assert_non_null(text);
    return text;
}

/* Returns the canonical text of a plan; the caller frees it. */
static char *go_round(const char *text)
{
    earshot_plan *plan = plan_of(text);
    char *first = written(plan);
    earshot_plan *again = plan_of(first);
    char *second = written(again);
    if (!earshot_plan_equal(plan, again)) print_error("not equal:\n%s\n%s\n", text, first);
    assert_true(earshot_plan_equal(plan, again));
    assert_true(earshot_plan_equal(again, plan));
    assert_string_equal(first, second);
    earshot_text_free(second);
    earshot_plan_free(again);
    earshot_plan_free(plan);
    return first;
}

static void canonical_text_is_as_expected(void **state)
{
    (void)state;
    char *text =
        go_round("plan 1 # comment\n"
                 "scene s \"Shut\" swap=stud:open\n"
                 "need confidence=0.95\n"
                 "ground medium-dry\nband 868.30 433920kHz\nsite \"A \\\"b\\\" c\\\\\"\n"
                 "capacity hub fob,movement=48 keypad=4\n"
                 "radio hub twoway=yes erp=14 sensitivity=-107.50dBm bandwidth=25kHz figure=6 snr=9 noise=city\n"
                 "material old label=\"Old\" spread=3 loss=433:11dB,868.3MHz:16 layers=brick:102mm,metal:0.1mm\n"
                 "storey g level=0 height=8ft\n"
                 "device pir movement 6,-4.50 radio=hub link=wire current=12mA label=\"Hall\" at=230cm\n"
                 "wall stud 0,0 5,0 from=0m label=\"W\"\n"
                 "window 1,0 2,0 material=triple-glazing\n"
                 "door 3,0 4,0.0\n"
                 "slab timber-floor 0,0 5,0 5,5 0,0\n"
                 "receiver panel 1,8 at=1.6m radio=hub on=wood\n");
    assert_string_equal(
        text, "plan 1\n"
              "site \"A \\\"b\\\" c\\\\\"\n"
              "band 868.3MHz 433.92MHz\n"
              "ground medium-dry\n"
              "need margin=10dB confidence=95% repeaters=4\n"
              "material old \"Old\" layers=brick:0.102m,metal:0.1mm loss=433MHz:11dB,868.3MHz:16dB spread=3dB\n"
              "radio hub erp=14dBm sensitivity=-107.5dBm twoway=yes noise=city figure=6dB bandwidth=25kHz snr=9dB\n"
              "capacity hub movement,fob=48\n"
              "capacity hub keypad=4\n"
              "\n"
              "storey g level=0m height=2.4384m\n"
              "slab timber-floor 0,0 5,0 5,5\n"
              "wall stud 0,0 5,0 from=0m label=\"W\"\n"
              "window 1,0 2,0 material=triple-glazing sill=0.9m head=2.1m\n"
              "door 3,0 4,0 sill=0m head=2m\n"
              "receiver panel 1,8 at=1.6m radio=hub on=wood\n"
              "device pir movement 6,-4.5 at=2.3m radio=hub link=wire current=0.012A label=\"Hall\"\n"
              "scene s \"Shut\" swap=stud:open\n");
    earshot_text_free(text);
}

static void placing_goes_round(void **state)
{
    (void)state;
    char *text = go_round("plan 1\ncost slab=9.25 repeater=55\ninputs expanders=3\nstorey g level=0m height=2.5m\n"
                          "mount m 1,2 at=2m repeater=yes\navoid 0,0 2,0 2,1.5 label=\"Bathroom\"\n");
    assert_string_equal(text, "plan 1\ninputs expanders=3\ncost repeater=55 slab=9.25\n\n"
                              "storey g level=0m height=2.5m\navoid 0,0 2,0 2,1.5 label=\"Bathroom\"\n"
                              "mount m 1,2 at=2m repeater=yes\n");
    earshot_text_free(text);
}

static void smallest_plan_goes_round(void **state)
{
    (void)state;
    char *text = go_round("plan 1\n");
    assert_string_equal(text, "plan 1\n");
    earshot_text_free(text);
}

/* Numbers at the edge of what doubles hold: the shortest text that reads back to each. */
static void awkward_numbers_go_round(void **state)
{
    (void)state;
    earshot_text_free(go_round("plan 1\nband 868.2999999999999MHz 868300001Hz\nneed margin=0.1dB confidence=66.6667%\n"
                               "storey g level=0.30000000000000004m height=2.4000000000000004m\n"
                               "wall stud 0.1,0.2 3.3333333333333335,12345.678901234567\n"
                               "wall stud 1e-300,-0 100000,99999.99999999999\n"
                               "material m layers=brick:9.999999999999999mm,air:0.0254in loss=433.92:0 spread=0.7\n"));
}

static void example_sites_go_round(void **state)
{
    (void)state;
    static const char *const SITES[] = {"farm", "house-garage", "loft-house", "office", "shop"};
    earshot_findings *findings = calloc(1, sizeof *findings);
    for (size_t i = 0; i < sizeof SITES / sizeof SITES[0]; i++) {
        char path[300];
        earshot_plan *plan;
        es_format(path, sizeof path, "%s/floorplans/%s.plan", EARSHOT_SOURCE_DIR, SITES[i]);
        assert_int_equal(earshot_plan_read_file(path, &plan, findings), EARSHOT_OK);
        char *text = written(plan);
        earshot_plan *again = plan_of(text);
        assert_true(earshot_plan_equal(plan, again));
        earshot_plan_free(again);
        earshot_text_free(text);
        earshot_plan_free(plan);
    }
    free(findings);
}

static void random_plans_go_round(void **state)
{
    (void)state;
    size_t bytes = 0;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        random_plan p;
        make_random_plan(&p, seed);
        bytes += p.text.size;
        earshot_text_free(go_round(p.text.data));
        earshot_text_clear(&p.text);
    }
    assert_true(bytes > 300 * 500);
}

/* Each pair differs in one thing only, and is not equal. */
static void what_differs_is_not_equal(void **state)
{
    (void)state;
    static const char *const BASE = "plan 1\nradio hub erp=14dBm sensitivity=-107dBm\nstorey g level=0m height=2.5m\n"
                                    "wall stud 0,0 5,0 5,5\n";
    static const char *const MORE[] = {
        "",
        "site \"a\"\n",
        "site \"b\"\n",
        "band 868.3MHz\n",
        "band 868.3MHz 433MHz\n",
        "ground wet\n",
        "need margin=10dB\n",
        "need margin=11dB\n",
        "need confidence=96%\n",
        "wall stud 0,0 5,9\n",
        "wall stud 0,0 5,9.000000000000002\n",
        "wall stud 0,0 5,9 to=2m\n",
        "wall stud 0,0 5,9 label=\"x\"\n",
        "wall open 0,0 5,9\n",
        "wall stud 0,0 5,9 9,9\n",
        "door 1,0 2,0\n",
        "window 1,0 2,0\n",
        "window 1,0 2,0 sill=0m head=2m\n",
        "window 1,0 2,0 sill=0m head=2m material=timber-door\n",
        "capacity hub fob=4\n",
        "capacity hub fob=5\n",
        "capacity hub keypad=5\n",
        "radio hub band=868.3MHz erp=1dBm\n",
        "radio hub band=868.3MHz erp=1dBm twoway=no hops=3\n",
        "material m layers=brick:1cm\n",
        "material m layers=brick:2cm\n",
        "material m layers=wood:2cm\n",
        "material m loss=433:1dB\n",
        "material m loss=433:2dB\n",
        "material m loss=434:2dB\n",
        "scene s swap=stud:open\n",
        "scene s swap=stud:metal\n",
        "scene s swap=open:metal\n",
        "storey h level=3m height=2.5m\nwall stud 0,0 5,0 5,9\n",
        "mount m 1,1 at=1m\n",
        "mount m 1,1 at=1m mains=yes\n",
        "receiver m 1,1 at=1m radio=hub\n",
        "device m fob 1,1 at=1m radio=hub\n",
        "device m contact 1,1 at=1m radio=hub\n",
    };
    enum { N = sizeof MORE / sizeof MORE[0] };
    earshot_plan *plan[N];
    for (size_t i = 0; i < N; i++) {
        earshot_text text = {0};
        es_text_format(&text, "%s%s", BASE, MORE[i]);
        plan[i] = plan_of(text.data);
        earshot_text_clear(&text);
    }
    for (size_t i = 0; i < N; i++) {
        for (size_t j = 0; j < N; j++) {
            if (earshot_plan_equal(plan[i], plan[j]) != (i == j)) print_error("%s%s", MORE[i], MORE[j]);
            assert_int_equal(earshot_plan_equal(plan[i], plan[j]), i == j);
        }
    }
    for (size_t i = 0; i < N; i++) earshot_plan_free(plan[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(canonical_text_is_as_expected), cmocka_unit_test(placing_goes_round),
        cmocka_unit_test(smallest_plan_goes_round),      cmocka_unit_test(awkward_numbers_go_round),
        cmocka_unit_test(example_sites_go_round),        cmocka_unit_test(random_plans_go_round),
        cmocka_unit_test(what_differs_is_not_equal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
