/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The direct model on small buildings: what counts, how often, and laws that hold whatever is built. */
#include "support/building.h"

#include <string.h>

static const double F868 = 868.30e6;

/* The same on every run and machine. */
static double random_between(uint64_t *state, double low, double high)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*state >> 11) / 9007199254740992.0;
}

static earshot_vec3 random_point(uint64_t *state)
{
    return (earshot_vec3){random_between(state, -1.0, 13.0), random_between(state, -1.0, 11.0),
                          random_between(state, 0.1, 8.7)};
}

/* Four materials; walls, floors and blocks of them anywhere. */
static void build_at_random(building *b, uint64_t *state, size_t n)
{
    for (size_t i = 0; i < 4; i++)
        building_material(b, random_between(state, 0.2, 14.0), random_between(state, 0.3, 5.0));
    for (size_t i = 0; i < n; i++) {
        const earshot_vec3 p = random_point(state), q = random_point(state);
        const size_t material = i % 4;
        if (i % 5 == 3)
            building_floor(b, p.x_m, p.y_m, p.x_m + 6.0, p.y_m + 5.0, p.z_m, material);
        else if (i % 5 == 4)
            building_block(b, p.x_m, p.y_m, p.x_m + 1.3, p.y_m + 0.7, material);
        else
            building_wall(b, p.x_m, p.y_m, q.x_m, q.y_m, material);
    }
}

static void nothing_in_the_way_is_free_space(void **state)
{
    (void)state;
    building b = {0};
    building_close(&b);
    const earshot_loss loss = building_loss(&b, F868, (earshot_vec3){1.0, 2.0, 1.5}, (earshot_vec3){4.0, 6.0, 1.5});
    check_close(loss.distance_m, 5.0, 1e-12, "m");
    check_close(loss.loss_db, earshot_free_space_db(5.0, F868), 1e-12, "dB");
    check_close(loss.free_space_db, loss.loss_db, 0.0, "dB");
    check_close(loss.material_sigma_db, 0.0, 0.0, "dB");
    check_close(loss.model_sigma_db, 3.0, 0.0, "dB");
    check_close(10.0 * log10(loss.rice_k), 6.0, 1e-12, "dB");
    assert_int_equal(loss.n_obstacles, 0);
    building_free(&b);
}

static void nearer_than_ten_centimetres_counts_as_that(void **state)
{
    (void)state;
    building b = {0};
    building_close(&b);
    const earshot_vec3 here = {1.7, 2.3, 1.1}, close = {1.7, 2.3, 1.1031};
    check_close(building_loss(&b, F868, here, here).loss_db, earshot_free_space_db(0.1, F868), 1e-12, "dB");
    check_close(building_loss(&b, F868, here, close).distance_m, 0.1, 0.0, "m");
    building_free(&b);
}

static void every_obstacle_counts_its_loss(void **state)
{
    (void)state;
    building b = {0};
    const size_t brick = building_material(&b, 5.7, 2.1), stud = building_material(&b, 1.3, 0.9);
    const size_t tank = building_material(&b, 17.4, 6.2);
    building_wall(&b, 3.0, 0.0, 3.0, 8.0, brick);
    building_wall(&b, 5.0, 0.0, 5.0, 8.0, stud);
    building_wall(&b, 7.0, 0.0, 7.0, 8.0, stud);
    building_block(&b, 8.0, 1.0, 9.0, 7.0, tank);
    building_close(&b);
    const earshot_loss loss = building_loss(&b, F868, (earshot_vec3){1.0, 4.1, 1.5}, (earshot_vec3){11.0, 3.7, 2.2});
    assert_int_equal(loss.n_obstacles, 4);
    check_close(loss.loss_db - loss.free_space_db, 5.7 + 1.3 + 1.3 + 17.4, 1e-12, "dB");
    /* Two stud walls are wrong together, the rest apart: sqrt(2.1^2 + (0.9 + 0.9)^2 + 6.2^2) */
    check_close(loss.material_sigma_db, 6.78896, 0.00001, "dB");
    check_close(loss.model_sigma_db, 5.0, 0.0, "dB");
    check_close(10.0 * log10(loss.rice_k), 6.0 - 25.7, 1e-9, "dB");
    building_free(&b);
}

/* An open doorway is no obstacle to the eye; a pane of glass is one, met at an angle. */
static void clear_and_obstructed(void **state)
{
    (void)state;
    const double loss_db[] = {0.0, 0.07, 5.3, 41.0}, sigma_db[] = {3.0, 5.0, 5.0, 5.0};
    for (size_t i = 0; i < 4; i++) {
        building b = {0};
        building_wall(&b, 3.0, 0.0, 3.0, 8.0, building_material(&b, loss_db[i], 1.0));
        building_close(&b);
        const earshot_loss loss = building_loss(&b, F868, (earshot_vec3){1.0, 4.1, 1.5}, (earshot_vec3){5.0, 4.1, 1.5});
        check_close(loss.model_sigma_db, sigma_db[i], 0.0, "dB");
        building_free(&b);
    }
}

/* The corner of two walls is one obstacle: the worse of the two. */
static void one_spot_is_one_obstacle(void **state)
{
    (void)state;
    building b = {0};
    const size_t light = building_material(&b, 2.3, 4.4), heavy = building_material(&b, 8.9, 1.7);
    building_wall(&b, 4.0, 4.0, 4.0, 9.0, light);
    building_wall(&b, 4.0, 4.0, 9.0, 4.0, heavy);
    building_close(&b);
    const earshot_loss loss = building_loss(&b, F868, (earshot_vec3){2.0, 2.0, 1.0}, (earshot_vec3){6.0, 6.0, 1.0});
    assert_int_equal(loss.n_obstacles, 1);
    check_close(loss.loss_db - loss.free_space_db, 8.9, 1e-12, "dB");
    check_close(loss.material_sigma_db, 1.7, 1e-12, "dB");
    building_free(&b);
}

static void of_equal_losses_the_wider_spread_counts(void **state)
{
    (void)state;
    building b = {0};
    const size_t known = building_material(&b, 8.9, 1.7), guessed = building_material(&b, 8.9, 4.4);
    building_wall(&b, 4.0, 4.0, 4.0, 9.0, known);
    building_wall(&b, 4.0, 4.0, 9.0, 4.0, guessed);
    building_close(&b);
    check_close(building_loss(&b, F868, (earshot_vec3){2.0, 2.0, 1.0}, (earshot_vec3){6.0, 6.0, 1.0}).material_sigma_db,
                4.4, 1e-12, "dB");
    building_free(&b);
}

static void floors_count_less_the_more_there_are(void **state)
{
    (void)state;
    building b = {0};
    const size_t concrete = building_material(&b, 12.7, 4.1), wood = building_material(&b, 2.9, 1.9);
    building_floor(&b, 0.0, 0.0, 9.0, 9.0, 2.5, concrete);
    building_floor(&b, 0.0, 0.0, 9.0, 9.0, 5.0, wood);
    building_floor(&b, 0.0, 0.0, 9.0, 9.0, 7.5, concrete);
    building_close(&b);
    const earshot_vec3 low = {4.0, 4.0, 1.0}, second = {5.0, 4.5, 3.7}, top = {5.0, 4.5, 8.6};
    check_close(building_loss(&b, F868, low, second).loss_db - earshot_free_space_db(sqrt(1.0 + 0.25 + 7.29), F868),
                12.7, 1e-12, "dB");
    const earshot_loss loss = building_loss(&b, F868, low, top);
    /* By falling loss 12.7, 12.7, 2.9, with weights 1, 2^(4/3-0.46) - 1 = 0.83189, 3^(5/4-0.46) - 1.83189 = 0.55002 */
    check_close(loss.loss_db - loss.free_space_db, 12.7 * 1.83189 + 2.9 * 0.55002, 0.0002, "dB");
    check_close(loss.material_sigma_db, hypot(4.1 * 1.83189, 1.9 * 0.55002), 0.0001, "dB");
    assert_int_equal(loss.n_obstacles, 3);
    building_free(&b);
}

/* A frequency between the entries of a table reaches the sum. */
static void losses_are_those_of_the_frequency(void **state)
{
    (void)state;
    static const earshot_loss_entry table[] = {{433e6, 3.1}, {868e6, 9.7}};
    building b = {0};
    const size_t wall = building_material(&b, 0.0, 1.0);
    b.material[wall].loss = table;
    b.material[wall].n_losses = 2;
    building_wall(&b, 3.0, 0.0, 3.0, 8.0, wall);
    building_close(&b);
    const earshot_vec3 from = {1.0, 4.1, 1.5}, to = {5.0, 4.1, 1.5};
    check_close(building_loss(&b, 433e6, from, to).loss_db - earshot_free_space_db(4.0, 433e6), 3.1, 1e-12, "dB");
    check_close(building_loss(&b, 868e6, from, to).loss_db - earshot_free_space_db(4.0, 868e6), 9.7, 1e-12, "dB");
    building_free(&b);
}

/* ---- laws ---- */

static void both_ways_give_the_same_bits(void **state)
{
    (void)state;
    uint64_t seed = 20231125;
    building b = {0};
    build_at_random(&b, &seed, 60);
    building_close(&b);
    size_t crossed = 0;
    for (size_t i = 0; i < 3000; i++) {
        const earshot_vec3 p = random_point(&seed), q = random_point(&seed);
        const earshot_loss out = building_loss(&b, F868, p, q), back = building_loss(&b, F868, q, p);
        assert_memory_equal(&out.distance_m, &back.distance_m, sizeof out.distance_m);
        assert_memory_equal(&out.loss_db, &back.loss_db, sizeof out.loss_db);
        assert_memory_equal(&out.material_sigma_db, &back.material_sigma_db, sizeof out.material_sigma_db);
        assert_memory_equal(&out.rice_k, &back.rice_k, sizeof out.rice_k);
        check_close(out.model_sigma_db, back.model_sigma_db, 0.0, "dB");
        assert_int_equal(out.n_obstacles, back.n_obstacles);
        crossed += out.n_obstacles;
    }
    assert_true(crossed > 10000);
    building_free(&b);
}

static void another_thing_never_helps(void **state)
{
    (void)state;
    enum { LINKS = 200 };
    uint64_t seed = 8641;
    building all = {0}, b;
    earshot_vec3 from[LINKS], to[LINKS];
    double before_db[LINKS] = {0};
    build_at_random(&all, &seed, 50);
    for (size_t i = 0; i < LINKS; i++) {
        from[i] = random_point(&seed);
        to[i] = random_point(&seed);
    }
    memcpy(&b, &all, sizeof b);
    b.n_walls = b.n_floors = b.n_blocks = 0;
    while (b.n_walls < all.n_walls || b.n_floors < all.n_floors || b.n_blocks < all.n_blocks) {
        if (b.n_floors < all.n_floors)
            b.n_floors++;
        else if (b.n_walls < all.n_walls)
            b.n_walls++;
        else
            b.n_blocks++;
        building_close(&b);
        for (size_t i = 0; i < LINKS; i++) {
            const earshot_loss loss = building_loss(&b, F868, from[i], to[i]);
            /* The order of the sum changes with what is added: some last bits of 100 dB. */
            assert_true(loss.loss_db >= before_db[i] - 1e-12);
            before_db[i] = loss.loss_db;
        }
    }
    building_free(&b);
}

static void further_away_is_never_better(void **state)
{
    (void)state;
    uint64_t seed = 977;
    building b = {0};
    build_at_random(&b, &seed, 40);
    building_close(&b);
    const earshot_vec3 from = {1.3, 2.7, 1.9};
    /* Ten rays through the building: along each the obstacles pile up. Blocks are left out of this law, as a line that
     * ends inside one is not yet out of it. */
    b.n_blocks = 0;
    building_close(&b);
    for (size_t ray = 0; ray < 10; ray++) {
        const earshot_vec3 towards = random_point(&seed);
        double before_db = 0.0;
        for (double s = 0.021; s < 1.0; s += 0.0137) {
            const earshot_vec3 to = {from.x_m + s * (towards.x_m - from.x_m), from.y_m + s * (towards.y_m - from.y_m),
                                     from.z_m + s * (towards.z_m - from.z_m)};
            const double now_db = building_loss(&b, F868, from, to).loss_db;
            assert_true(now_db >= before_db - 1e-12);
            before_db = now_db;
        }
    }
    building_free(&b);
}

static void a_wall_in_two_pieces_is_one_wall(void **state)
{
    (void)state;
    uint64_t seed = 4242;
    building whole = {0}, cut = {0};
    const size_t of_whole = building_material(&whole, 6.3, 2.2), of_cut = building_material(&cut, 6.3, 2.2);
    building_wall(&whole, 2.0, 1.0, 8.0, 4.0, of_whole);
    building_wall(&cut, 2.0, 1.0, 4.0, 2.0, of_cut);
    building_wall(&cut, 4.0, 2.0, 8.0, 4.0, of_cut);
    building_close(&whole);
    building_close(&cut);
    for (size_t i = 0; i < 500; i++) {
        /* Every fifth line goes exactly through the joint, every seventh along the wall. */
        earshot_vec3 p = random_point(&seed), q = random_point(&seed);
        if (i % 5 == 0) q = (earshot_vec3){8.0 - p.x_m, 4.0 - p.y_m, p.z_m};
        if (i % 7 == 0) p = (earshot_vec3){0.0, 0.0, 1.3}, q = (earshot_vec3){10.0, 5.0, 1.0 + 0.01 * (double)i};
        const earshot_loss a = building_loss(&whole, F868, p, q), b = building_loss(&cut, F868, p, q);
        check_close(b.loss_db, a.loss_db, 0.0, "dB");
        check_close(b.material_sigma_db, a.material_sigma_db, 0.0, "dB");
        assert_int_equal(b.n_obstacles, a.n_obstacles);
    }
    building_free(&whole);
    building_free(&cut);
}

/* More than fit in the room on the stack. */
static void a_hundred_and_fifty_walls(void **state)
{
    (void)state;
    building b = {0};
    const size_t stud = building_material(&b, 0.7, 0.13);
    for (size_t i = 0; i < 150; i++) {
        const double x = 0.5 + 0.06 * (double)i;
        building_wall(&b, x, 0.0, x, 8.0, stud);
    }
    building_close(&b);
    const earshot_loss loss = building_loss(&b, F868, (earshot_vec3){0.0, 4.1, 1.5}, (earshot_vec3){12.0, 4.3, 1.9});
    assert_int_equal(loss.n_obstacles, 150);
    check_close(loss.loss_db - loss.free_space_db, 150.0 * 0.7, 1e-9, "dB");
    check_close(loss.material_sigma_db, 150.0 * 0.13, 1e-9, "dB");
    building_free(&b);
}

static void what_is_no_number_is_refused(void **state)
{
    (void)state;
    building b = {0};
    building_close(&b);
    const earshot_vec3 good = {1.0, 2.0, 3.0};
    const earshot_vec3 bad[] = {{NAN, 2.0, 3.0}, {1.0, INFINITY, 3.0}, {1.0, 2.0, -INFINITY}};
    earshot_loss loss = {.loss_db = 77.7};
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(es_direct_loss(&b.structure, F868, bad[i], good, &loss), EARSHOT_ARGUMENT);
        assert_int_equal(es_direct_loss(&b.structure, F868, good, bad[i], &loss), EARSHOT_ARGUMENT);
    }
    const double bad_hz[] = {0.0, -1.0, NAN, INFINITY};
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(es_direct_loss(&b.structure, bad_hz[i], good, good, &loss), EARSHOT_ARGUMENT);
    check_close(loss.loss_db, 77.7, 0.0, "dB");
    building_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_in_the_way_is_free_space),
        cmocka_unit_test(nearer_than_ten_centimetres_counts_as_that),
        cmocka_unit_test(every_obstacle_counts_its_loss),
        cmocka_unit_test(clear_and_obstructed),
        cmocka_unit_test(one_spot_is_one_obstacle),
        cmocka_unit_test(of_equal_losses_the_wider_spread_counts),
        cmocka_unit_test(floors_count_less_the_more_there_are),
        cmocka_unit_test(losses_are_those_of_the_frequency),
        cmocka_unit_test(both_ways_give_the_same_bits),
        cmocka_unit_test(another_thing_never_helps),
        cmocka_unit_test(further_away_is_never_better),
        cmocka_unit_test(a_wall_in_two_pieces_is_one_wall),
        cmocka_unit_test(a_hundred_and_fifty_walls),
        cmocka_unit_test(what_is_no_number_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
