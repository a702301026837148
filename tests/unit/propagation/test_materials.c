/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The built-in materials: what must be among them, and what each must say of itself. */
#include "support/check.h"

#include "support/plans.h"

static const double BANDS_HZ[] = {433.92e6, 868.30e6};

static const char EMPTY[] = "plan 1\nband 868.30MHz\nstorey ground level=0m height=2.5m\n"
                            "wall brick-one 0,0 1,0\n";

typedef struct built_in {
    earshot_plan *plan;
    earshot_site *site;
} built_in;

static int read_built_in(void **state)
{
    static built_in b;
    b.plan = plan_of(EMPTY);
    b.site = site_of(b.plan, NULL);
    *state = &b;
    return 0;
}

static int free_built_in(void **state)
{
    const built_in *b = *state;
    earshot_site_free(b->site);
    earshot_plan_free(b->plan);
    return 0;
}

/* What installers meet, by the names they would try. */
static void what_installers_meet_is_there(void **state)
{
    const built_in *b = *state;
    static const char *const name[] = {"brick-half",
                                       "brick-one",
                                       "brick-cavity",
                                       "brick-cavity-foil",
                                       "dense-block-100",
                                       "dense-block-215",
                                       "aerated-block-100",
                                       "aerated-block-215",
                                       "concrete-100",
                                       "concrete-200",
                                       "reinforced-concrete-150",
                                       "reinforced-concrete-200",
                                       "stone-450",
                                       "stud",
                                       "plasterboard",
                                       "plasterboard-foil",
                                       "metal-stud",
                                       "timber-frame",
                                       "log-200",
                                       "single-glazing",
                                       "double-glazing",
                                       "low-e-glazing",
                                       "triple-glazing",
                                       "low-e-triple",
                                       "timber-door",
                                       "steel-door",
                                       "aluminium-door",
                                       "upvc-door",
                                       "roller-shutter",
                                       "garage-door",
                                       "cladding-sheet",
                                       "insulated-panel",
                                       "timber-floor",
                                       "beam-and-block",
                                       "reinforced-slab",
                                       "tiled-roof",
                                       "metal-roof",
                                       "wet-wall",
                                       "full-bookshelf",
                                       "metal-racking",
                                       "vehicle",
                                       "mirror",
                                       "water",
                                       "metal",
                                       "open"};
    for (size_t i = 0; i < sizeof name / sizeof name[0]; i++)
        assert_true(b->plan->material[material_named(b->plan, name[i])].builtin);
    assert_true(b->plan->n_materials >= 40);
}

static void each_says_where_its_value_is_from(void **state)
{
    const built_in *b = *state;
    for (size_t i = 0; i < b->plan->n_materials; i++) {
        const earshot_material *m = &b->plan->material[i];
        if (!m->label || !m->source || strlen(m->source) < 8) fail_msg("%s: no label or source", m->name);
        if (m->n_losses && m->basis == EARSHOT_BASIS_UNSTATED) fail_msg("%s: a table without a basis", m->name);
        if (isnan(m->spread_db)) fail_msg("%s: no spread", m->name);
    }
    for (size_t i = 0; i < b->plan->n_electricals; i++)
        if (!b->plan->electrical[i].source) fail_msg("%s: no source", b->plan->electrical[i].name);
}

static void each_has_a_loss_in_both_bands(void **state)
{
    const built_in *b = *state;
    for (size_t i = 0; i < b->plan->n_materials; i++) {
        for (size_t f = 0; f < 2; f++) {
            earshot_basis basis;
            const double loss_db = earshot_material_loss_db(b->site, i, BANDS_HZ[f], &basis);
            if (!(loss_db >= 0.0 && loss_db <= 60.0)) fail_msg("%s: %g dB", b->plan->material[i].name, loss_db);
            if (basis == EARSHOT_BASIS_UNSTATED) fail_msg("%s: basis unstated", b->plan->material[i].name);
        }
    }
}

/* "Extrapolated" and "from memory" must be said in words too, since a client reads the source and not the code. */
static void the_words_of_the_source_fit_the_basis(void **state)
{
    const built_in *b = *state;
    for (size_t i = 0; i < b->plan->n_materials; i++) {
        const earshot_material *m = &b->plan->material[i];
        earshot_basis basis;
        earshot_material_loss_db(b->site, i, BANDS_HZ[0], &basis);
        if (basis == EARSHOT_BASIS_EXTRAPOLATED && !strstr(m->source, "extrapolated"))
            fail_msg("%s is extrapolated and does not say so", m->name);
        if (basis == EARSHOT_BASIS_COMPUTED && m->n_layers && !strstr(m->source, "computed"))
            fail_msg("%s is computed and does not say so", m->name);
    }
}

/* Judged and extrapolated values must not look better known than computed and published ones. */
static void what_is_less_known_spreads_wider(void **state)
{
    const built_in *b = *state;
    for (size_t i = 0; i < b->plan->n_materials; i++) {
        const earshot_material *m = &b->plan->material[i];
        earshot_basis basis;
        const double loss_db = earshot_material_loss_db(b->site, i, BANDS_HZ[1], &basis);
        const bool guessed = basis == EARSHOT_BASIS_JUDGEMENT || basis == EARSHOT_BASIS_EXTRAPOLATED;
        const double least_db = guessed ? 0.25 * loss_db : 0.0;
        if (m->spread_db < least_db) fail_msg("%s: spread %g dB at %g dB", m->name, m->spread_db, loss_db);
    }
}

/* Classes that must not be used so far below their range. */
static void no_plywood_and_no_floorboard_class_inside(void **state)
{
    const built_in *b = *state;
    for (size_t i = 0; i < b->plan->n_materials; i++) {
        for (size_t j = 0; j < b->plan->material[i].n_layers; j++) {
            const char *class = b->plan->material[i].layer[j].electrical;
            assert_string_not_equal(class, "plywood");
            assert_string_not_equal(class, "floorboard");
        }
    }
}

static double loss_db(const built_in *b, const char *name, double frequency_hz)
{
    return earshot_material_loss_db(b->site, material_named(b->plan, name), frequency_hz, NULL);
}

static void an_order_that_everybody_expects(void **state)
{
    const built_in *b = *state;
    for (size_t f = 0; f < 2; f++) {
        const double hz = BANDS_HZ[f];
        check_close(loss_db(b, "open", hz), 0.0, 0.0, "dB");
        assert_true(loss_db(b, "stud", hz) < loss_db(b, "brick-half", hz));
        assert_true(loss_db(b, "brick-half", hz) < loss_db(b, "brick-one", hz));
        assert_true(loss_db(b, "brick-one", hz) < loss_db(b, "reinforced-concrete-200", hz));
        assert_true(loss_db(b, "concrete-200", hz) < loss_db(b, "reinforced-concrete-200", hz));
        assert_true(loss_db(b, "aerated-block-100", hz) < loss_db(b, "dense-block-100", hz));
        assert_true(loss_db(b, "double-glazing", hz) < loss_db(b, "low-e-glazing", hz));
        assert_true(loss_db(b, "timber-floor", hz) < loss_db(b, "reinforced-slab", hz));
        assert_true(loss_db(b, "tiled-roof", hz) < loss_db(b, "metal-roof", hz));
        assert_true(loss_db(b, "timber-door", hz) < loss_db(b, "steel-door", hz));
        assert_true(loss_db(b, "stone-300", hz) < loss_db(b, "stone-600", hz));
    }
}

static void concrete_says_that_sources_disagree(void **state)
{
    const built_in *b = *state;
    const earshot_material *m = &b->plan->material[material_named(b->plan, "concrete-200")];
    assert_non_null(strstr(m->source, "7.5 dB here"));
    assert_non_null(strstr(m->source, "about 25 dB"));
    assert_true(m->spread_db >= 6.0);
    check_close(loss_db(b, "concrete-200", 868.30e6), 7.49, 0.00501, "dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_installers_meet_is_there),    cmocka_unit_test(each_says_where_its_value_is_from),
        cmocka_unit_test(each_has_a_loss_in_both_bands),    cmocka_unit_test(the_words_of_the_source_fit_the_basis),
        cmocka_unit_test(what_is_less_known_spreads_wider), cmocka_unit_test(no_plywood_and_no_floorboard_class_inside),
        cmocka_unit_test(an_order_that_everybody_expects),  cmocka_unit_test(concrete_says_that_sources_disagree),
    };
    return cmocka_run_group_tests(tests, read_built_in, free_built_in);
}
