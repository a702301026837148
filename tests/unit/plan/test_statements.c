/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every field of every statement arrives where plan.h says, and what is not stated is as plan.h says. */
#include "support/check.h"

#include "plan/statements.h"
#include "support/plans.h"

#define EQUAL(a, b) check_close((a), (b), 0, #a)

/* A plan with one of everything, all fields stated. */
static const char FULL[] =
    "plan 1\n"
    "site \"Fernhollow \\\"old\\\" farm\"\n"
    "band 868.30MHz 433.92MHz\n"
    "ground wet\n"
    "need margin=7.5dB confidence=97.5% repeaters=3\n"
    "inputs onboard=16 expander=10 expanders=2\n"
    "cost repeater=55.5 cable=1.25 across=2.5 outdoor=7.5 wall=3.5 slab=9.5 point=11 expander=33\n"
    "radio hub \"Control unit\" band=868.3MHz erp=13.5dBm gain=-1.25dBi sensitivity=-107.5dBm twoway=yes mains=yes "
    "channels=3 hops=2 antenna=dipole-x noise=city figure=6.5dB bandwidth=25kHz snr=9.5dB messages=12 airtime=35ms\n"
    "radio hub erp=10dBm sensitivity=-100dBm\n"
    "radio bare\n"
    "capacity hub movement,smoke=48 keypad=4\n"
    "electrical clay \"Clay\" a=3.9 b=-0.1 c=0.025 d=0.16 from=1GHz to=10GHz conductor=yes source=\"a book\"\n"
    "electrical plain a=2.5\n"
    "material old \"Old wall\" layers=clay:102mm,air:5cm loss=433:11.5dB,868:16dB spread=3.5dB basis=published "
    "source=\"another\"\n"
    "material thin layers=brick:1in spread=1dB\n"
    "storey cellar label=\"Below\" level=-2.75m height=2.25m\n"
    "wall stud 0,0 8,0 8,6 from=0.5m to=2m label=\"Half\"\n"
    "storey upper level=0m height=2.5m\n"
    "wall stud 0,0 8.5,0\n"
    "door 1,0 1.875,0 material=steel-door sill=0.125m head=2.0625m label=\"Front\"\n"
    "window 3,0.02 4.5,0\n"
    "slab timber-floor 0,0 8,0 8,6 0,0 at=2.25m label=\"Floor\"\n"
    "slab timber-floor 20,0 28,0 28,6\n"
    "hole 1,0.5 2,0.5 2,1\n"
    "block vehicle 1,2 2,2 2,3.5 from=0.25m to=1.5m label=\"Van\"\n"
    "avoid 0,0 3,0 3,2.5 0,2.5 label=\"Bathroom\"\n"
    "receiver panel 1,5.5 at=1.6m radio=hub on=masonry mounting=2.5dB label=\"Hall\"\n"
    "mount landing 4.5,5.5 at=2.2m mains=yes receiver=no repeater=yes radio=hub on=wood mounting=1.5dB "
    "label=\"Landing\"\n"
    "device key fob 2.5,5.5 at=1.1m radio=hub on=free mounting=0.5dB body=9.5dB link=radio label=\"Key\"\n"
    "device siren sounder 3.5,5.5 at=2.4m radio=hub link=wire current=250mA\n"
    "scene shut \"Shutters\" swap=double-glazing:roller-shutter,stud:open\n";

static void electricals_and_materials(const earshot_plan *p)
{
    const earshot_electrical *e = &p->electrical[p->n_electricals - 2];
    assert_string_equal(e->name, "clay");
    assert_string_equal(e->label, "Clay");
    assert_string_equal(e->source, "a book");
    EQUAL(e->a, 3.9), EQUAL(e->b, -0.1), EQUAL(e->c, 0.025), EQUAL(e->d, 0.16);
    EQUAL(e->from_hz, 1e9), EQUAL(e->to_hz, 1e10);
    assert_true(e->conductor && !e->builtin);
    EQUAL(e[1].b, 0);
    assert_true(isnan(e[1].from_hz) && isnan(e[1].to_hz) && !e[1].conductor && !e[1].label && !e[1].source);
    const earshot_material *m = &p->material[p->n_materials - 2];
    assert_string_equal(m->label, "Old wall");
    assert_int_equal(m->n_layers, 2);
    assert_string_equal(m->layer[0].electrical, "clay");
    EQUAL(m->layer[0].thickness_m, 0.102), EQUAL(m->layer[1].thickness_m, 0.05);
    assert_int_equal(m->n_losses, 2);
    EQUAL(m->loss[0].frequency_hz, 433e6), EQUAL(m->loss[0].loss_db, 11.5), EQUAL(m->loss[1].loss_db, 16);
    EQUAL(m->spread_db, 3.5);
    assert_int_equal(m->basis, EARSHOT_BASIS_PUBLISHED);
    assert_string_equal(m->source, "another");
    assert_int_equal(m[1].n_losses, 0);
    assert_int_equal(m[1].basis, EARSHOT_BASIS_UNSTATED);
    EQUAL(m[1].layer[0].thickness_m, 0.0254);
}

static void radios(const earshot_plan *p)
{
    assert_int_equal(p->n_radios, 3);
    const earshot_radio *r = &p->radio[0];
    assert_string_equal(r->name, "hub");
    assert_string_equal(r->label, "Control unit");
    EQUAL(r->band_hz, 868.3e6), EQUAL(r->erp_dbm, 13.5), EQUAL(r->gain_dbi, -1.25), EQUAL(r->sensitivity_dbm, -107.5);
    assert_true(r->two_way && r->needs_mains);
    assert_int_equal(r->channels, 3);
    assert_int_equal(r->hops, 2);
    assert_int_equal(r->antenna, EARSHOT_ANTENNA_DIPOLE_X);
    assert_int_equal(r->noise, EARSHOT_NOISE_CITY);
    EQUAL(r->noise_figure_db, 6.5), EQUAL(r->bandwidth_hz, 25e3), EQUAL(r->snr_db, 9.5);
    EQUAL(r->messages_per_hour, 12), EQUAL(r->airtime_s, 0.035);
    const earshot_radio *bare = &p->radio[2];
    assert_true(isnan(bare->band_hz) && isnan(bare->erp_dbm) && isnan(bare->sensitivity_dbm));
    assert_true(isnan(bare->noise_figure_db) && isnan(bare->bandwidth_hz) && isnan(bare->snr_db));
    assert_true(isnan(bare->messages_per_hour) && isnan(bare->airtime_s));
    assert_true(!bare->two_way && !bare->needs_mains && !bare->label);
    EQUAL(bare->gain_dbi, 0);
    assert_int_equal(bare->channels, 1);
    assert_int_equal(bare->hops, 1);
    assert_int_equal(bare->antenna, EARSHOT_ANTENNA_ISOTROPIC);
    assert_int_equal(bare->noise, EARSHOT_NOISE_NONE);
    assert_int_equal(p->n_capacities, 2);
    assert_string_equal(p->capacity[1].radio, "hub");
    assert_int_equal(p->capacity[0].kinds, 1u << EARSHOT_KIND_MOVEMENT | 1u << EARSHOT_KIND_SMOKE);
    assert_int_equal(p->capacity[0].count, 48);
    assert_int_equal(p->capacity[1].kinds, 1u << EARSHOT_KIND_KEYPAD);
    assert_int_equal(p->capacity[1].count, 4);
}

static void building(const earshot_plan *p)
{
    assert_int_equal(p->n_storeys, 2);
    assert_string_equal(p->storey[0].label, "Below");
    EQUAL(p->storey[0].level_m, -2.75), EQUAL(p->storey[0].height_m, 2.25);
    assert_int_equal(p->n_walls, 2);
    const earshot_wall *w = &p->wall[0];
    assert_string_equal(w->material, "stud");
    assert_string_equal(w->label, "Half");
    assert_int_equal(w->storey, 0);
    assert_int_equal(w->n_points, 3);
    EQUAL(w->point[2].x_m, 8), EQUAL(w->point[2].y_m, 6), EQUAL(w->from_m, 0.5), EQUAL(w->to_m, 2);
    assert_int_equal(w[1].storey, 1);
    assert_true(isnan(w[1].from_m) && isnan(w[1].to_m));
    assert_int_equal(p->n_slabs, 2);
    const earshot_slab *s = &p->slab[0];
    assert_int_equal(s->n_points, 3); /* the repeated corner is dropped */
    EQUAL(s->at_m, 2.25);
    assert_string_equal(s->label, "Floor");
    assert_true(isnan(s[1].at_m) && !s[1].label);
    assert_int_equal(p->n_holes, 1);
    assert_int_equal(p->hole[0].storey, 1);
    EQUAL(p->hole[0].point[0].y_m, 0.5);
    assert_int_equal(p->n_blocks, 1);
    assert_string_equal(p->block[0].material, "vehicle");
    EQUAL(p->block[0].from_m, 0.25), EQUAL(p->block[0].to_m, 1.5), EQUAL(p->block[0].point[2].y_m, 3.5);
}

static void placing(const earshot_plan *p)
{
    assert_int_equal(p->need_repeaters, 3);
    assert_int_equal(p->inputs.onboard, 16);
    assert_int_equal(p->inputs.expander, 10);
    assert_int_equal(p->inputs.expanders, 2);
    EQUAL(p->cost.repeater, 55.5), EQUAL(p->cost.cable, 1.25), EQUAL(p->cost.across, 2.5), EQUAL(p->cost.outdoor, 7.5);
    EQUAL(p->cost.wall, 3.5), EQUAL(p->cost.slab, 9.5), EQUAL(p->cost.point, 11), EQUAL(p->cost.expander, 33);
    assert_int_equal(p->n_avoids, 1);
    assert_string_equal(p->avoid[0].label, "Bathroom");
    assert_int_equal(p->avoid[0].storey, 1);
    assert_int_equal(p->avoid[0].n_points, 4);
    EQUAL(p->avoid[0].point[2].y_m, 2.5);
}

static void openings(const earshot_plan *p)
{
    assert_int_equal(p->n_openings, 2);
    const earshot_opening *door = &p->opening[0], *window = &p->opening[1];
    assert_false(door->window);
    assert_string_equal(door->material, "steel-door");
    assert_string_equal(door->label, "Front");
    EQUAL(door->a.x_m, 1), EQUAL(door->b.x_m, 1.875), EQUAL(door->sill_m, 0.125), EQUAL(door->head_m, 2.0625);
    assert_int_equal(door->wall, 1);
    assert_int_equal(door->piece, 0);
    assert_true(window->window);
    assert_string_equal(window->material, "double-glazing");
    EQUAL(window->sill_m, 0.9), EQUAL(window->head_m, 2.1), EQUAL(window->a.y_m, 0.02);
}

static void posts(const earshot_plan *p)
{
    const earshot_receiver *r = &p->receiver[0];
    assert_string_equal(r->name, "panel");
    assert_string_equal(r->label, "Hall");
    assert_string_equal(r->radio, "hub");
    EQUAL(r->point.y_m, 5.5), EQUAL(r->at_m, 1.6), EQUAL(r->mounting_db, 2.5);
    assert_int_equal(r->fixing, EARSHOT_FIXING_MASONRY);
    const earshot_mount *m = &p->mount[0];
    assert_true(m->mains && m->repeater && !m->receiver);
    assert_string_equal(m->radio, "hub");
    assert_int_equal(m->fixing, EARSHOT_FIXING_WOOD);
    EQUAL(m->point.x_m, 4.5), EQUAL(m->mounting_db, 1.5);
    assert_int_equal(p->n_devices, 2);
    const earshot_device *d = &p->device[0];
    assert_int_equal(d->kind, EARSHOT_KIND_FOB);
    assert_int_equal(d->fixing, EARSHOT_FIXING_FREE);
    assert_int_equal(d->wiring, EARSHOT_WIRING_CANNOT);
    EQUAL(d->mounting_db, 0.5), EQUAL(d->body_db, 9.5), EQUAL(d->at_m, 1.1), EQUAL(d->point.x_m, 2.5);
    assert_true(isnan(d->current_a));
    assert_int_equal(d[1].wiring, EARSHOT_WIRING_MUST);
    EQUAL(d[1].current_a, 0.25);
    assert_true(isnan(d[1].mounting_db) && isnan(d[1].body_db) && !d[1].label);
    assert_int_equal(d[1].fixing, EARSHOT_FIXING_UNSTATED);
}

static void everything_is_kept(void **state)
{
    (void)state;
    earshot_plan *p = plan_of(FULL);
    assert_string_equal(p->site, "Fernhollow \"old\" farm");
    assert_int_equal(p->n_bands, 2);
    assert_true(p->band_stated && p->need_stated);
    EQUAL(p->band_hz[0], 868.3e6), EQUAL(p->band_hz[1], 433.92e6);
    assert_string_equal(p->ground, "wet");
    EQUAL(p->need_margin_db, 7.5), EQUAL(p->need_confidence, 0.975);
    electricals_and_materials(p);
    radios(p);
    building(p);
    placing(p);
    openings(p);
    posts(p);
    assert_int_equal(p->n_scenes, 1);
    assert_string_equal(p->scene[0].label, "Shutters");
    assert_int_equal(p->scene[0].n_swaps, 2);
    assert_string_equal(p->scene[0].swap[1].from, "stud");
    assert_string_equal(p->scene[0].swap[1].to, "open");
    earshot_plan_free(p);
}

static void what_is_not_stated_has_its_default(void **state)
{
    (void)state;
    earshot_plan *p = plan_of("plan 1\nground none\n");
    assert_null(p->site);
    assert_null(p->ground);
    assert_int_equal(p->n_bands, 1);
    EQUAL(p->band_hz[0], 868.3e6), EQUAL(p->need_margin_db, 10), EQUAL(p->need_confidence, 0.95);
    assert_false(p->band_stated);
    assert_false(p->need_stated);
    assert_int_equal(p->need_repeaters, 4);
    assert_int_equal(p->inputs.onboard, 8);
    assert_int_equal(p->inputs.expander, 8);
    assert_int_equal(p->inputs.expanders, 7);
    EQUAL(p->cost.repeater, 40), EQUAL(p->cost.cable, 1), EQUAL(p->cost.across, 1.5), EQUAL(p->cost.outdoor, 6);
    EQUAL(p->cost.wall, 4), EQUAL(p->cost.slab, 8), EQUAL(p->cost.point, 12), EQUAL(p->cost.expander, 30);
    assert_int_equal(p->n_files, 2);
    assert_string_equal(p->file[0], "test.plan");
    earshot_plan_free(p);
}

static void openings_keep_to_their_wall(void **state)
{
    (void)state;
    earshot_plan *p = plan_of("plan 1\nstorey loft level=0m height=1.75m\nwall stud 0,0 5,0 5,7\n"
                              "wall stud 9,0 9,7 from=1.125m\nwall brick-half 20,0 20,7 to=1m\n"
                              "wall timber-frame 20,0 20,7 from=1m\ndoor 5.03,2 5,3\nwindow 9,2 9,3\n"
                              "window 20,2 20,3 sill=1.25m head=1.5m\n");
    EQUAL(p->opening[0].sill_m, 0), EQUAL(p->opening[0].head_m, 1.75); /* not above the ceiling */
    assert_int_equal(p->opening[0].wall, 0);
    assert_int_equal(p->opening[0].piece, 1);
    EQUAL(p->opening[1].sill_m, 1.125), EQUAL(p->opening[1].head_m, 1.75);
    assert_int_equal(p->opening[1].wall, 1);
    assert_int_equal(p->opening[2].wall, 3); /* of the two walls on one line, the one of its height */
    earshot_plan_free(p);
}

static void order_is_free(void **state)
{
    (void)state;
    earshot_plan *p = plan_of("plan 1\nscene s swap=own:open\nstorey g level=0m height=2.5m\n"
                              "device a contact 1,1 at=1m radio=r\nreceiver p 2,2 at=1m radio=r\n"
                              "door 0,1 0,2\nwall own 0,0 0,5\nmaterial own layers=stuff:10cm spread=1dB\n"
                              "electrical stuff a=2.5\nradio r erp=1dBm sensitivity=-99dBm\nband 433.92MHz\n");
    assert_int_equal(p->n_devices, 1);
    assert_int_equal(p->opening[0].wall, 0);
    earshot_plan_free(p);
}

static void kinds_have_words(void **state)
{
    (void)state;
    unsigned handheld = 0, life_safety = 0;
    for (unsigned k = 0; k < EARSHOT_KINDS; k++) {
        assert_int_equal(es_kind_words[k].value, k);
        assert_string_equal(earshot_kind_name((earshot_kind)k), es_kind_words[k].word);
        handheld += earshot_kind_is_handheld((earshot_kind)k);
        life_safety += earshot_kind_is_life_safety((earshot_kind)k);
    }
    assert_null(es_kind_words[EARSHOT_KINDS].word);
    assert_null(earshot_kind_name(EARSHOT_KINDS));
    assert_null(earshot_kind_name((earshot_kind)-1));
    assert_string_equal(earshot_kind_name(EARSHOT_KIND_CARBON_MONOXIDE), "carbon-monoxide");
    assert_int_equal(handheld, 2);
    assert_int_equal(life_safety, 5);
}

/* Tables are data: a wrong one would only show in use. */
static void tables_are_sound(void **state)
{
    (void)state;
    for (size_t i = 0; i < es_n_statements; i++) {
        const es_statement *s = &es_statements[i];
        assert_ptr_equal(es_statement_find(s->keyword, strlen(s->keyword)), s);
        assert_memory_equal(s->form, s->keyword, strlen(s->keyword));
        assert_true(s->read || s->n_fields);
        assert_true(s->n_fields <= 32);
        assert_true((s->list == ES_LIST_NONE) == (s->fresh == NULL));
        for (size_t f = 0; f < s->n_fields; f++) {
            if (s->field[f].positional) continue;
            assert_ptr_equal(es_field_find(s, s->field[f].key, strlen(s->field[f].key)), &s->field[f]);
        }
    }
}

static void arguments_are_checked(void **state)
{
    (void)state;
    earshot_plan *plan = (earshot_plan *)&plan;
    earshot_findings *findings = calloc(1, sizeof *findings);
    assert_int_equal(earshot_plan_read(NULL, 3, "x", &plan, findings), EARSHOT_ARGUMENT);
    assert_null(plan);
    assert_int_equal(earshot_plan_read("", 0, NULL, &plan, findings), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_plan_read("", 0, "x", NULL, findings), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_plan_read("", 0, "x", &plan, NULL), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_plan_read_file(NULL, &plan, findings), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_plan_read(NULL, 0, "x", &plan, findings), EARSHOT_PLAN_SYNTAX);
    assert_null(plan);
    earshot_plan_free(NULL);
    earshot_text_free(NULL);
    free(findings);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_is_kept),
        cmocka_unit_test(what_is_not_stated_has_its_default),
        cmocka_unit_test(openings_keep_to_their_wall),
        cmocka_unit_test(order_is_free),
        cmocka_unit_test(kinds_have_words),
        cmocka_unit_test(tables_are_sound),
        cmocka_unit_test(arguments_are_checked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
