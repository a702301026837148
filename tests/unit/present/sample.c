/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "present/sample.h"

/*   y 4 +------+------+        x 0 to 8; the wall at x = 5 has a door from y 1 to 2; the tank stands at 2..3, 3..3.5;
 *       |      |      |        the shed device lies outside at x = 9 */
static const earshot_point OUTSIDE[] = {{0, 0}, {8, 0}, {8, 4}, {0, 4}, {0, 0}};
static const earshot_point INSIDE[] = {{5, 0}, {5, 4}};
static const earshot_point TANK[] = {{2, 3}, {3, 3}, {3, 3.5}, {2, 3.5}};
static const earshot_loss_entry BLOCK_LOSS[] = {{433e6, 5.5}, {868e6, 8.25}};
static const earshot_loss_entry DOOR_LOSS[] = {{433e6, 1.5}, {868e6, 2.75}};
static const earshot_loss_entry METAL_LOSS[] = {{433e6, 27.0}, {868e6, 31.0}};

static earshot_material MATERIAL[] = {
    {.name = "dense-block",
     .label = "Dense block, 215 mm",
     .source = "A source, with a comma",
     .loss = BLOCK_LOSS,
     .n_losses = 2,
     .spread_db = 2.5,
     .basis = EARSHOT_BASIS_MEASURED},
    {.name = "door", .loss = DOOR_LOSS, .n_losses = 2, .spread_db = NAN, .basis = EARSHOT_BASIS_JUDGEMENT},
    {.name = "metal", .loss = METAL_LOSS, .n_losses = 2, .spread_db = 4.0, .basis = EARSHOT_BASIS_JUDGEMENT},
};
static earshot_radio RADIO[] = {
    {.name = "hub",
     .label = "Panel",
     .band_hz = NAN,
     .erp_dbm = 13.5,
     .sensitivity_dbm = -106.25,
     .two_way = true,
     .channels = 1,
     .hops = 1,
     .noise_figure_db = NAN,
     .bandwidth_hz = NAN,
     .snr_db = NAN,
     .messages_per_hour = NAN,
     .airtime_s = NAN},
    {.name = "sensor",
     .band_hz = NAN,
     .erp_dbm = 7.5,
     .sensitivity_dbm = NAN,
     .channels = 1,
     .hops = 1,
     .noise_figure_db = NAN,
     .bandwidth_hz = NAN,
     .snr_db = NAN,
     .messages_per_hour = NAN,
     .airtime_s = NAN},
};
static earshot_capacity CAPACITY[] = {{.radio = "hub", .kinds = 1u << EARSHOT_KIND_CONTACT, .count = 1}};
static earshot_storey STOREY[] = {{.name = "ground", .level_m = 0.0, .height_m = 2.5}};
static earshot_wall WALL[] = {
    {.material = "dense-block", .point = OUTSIDE, .n_points = 5, .from_m = NAN, .to_m = NAN},
    {.material = "dense-block", .label = "Middle wall", .point = INSIDE, .n_points = 2, .from_m = NAN, .to_m = NAN},
};
static earshot_opening OPENING[] = {
    {.material = "door", .a = {5, 1}, .b = {5, 2}, .sill_m = 0.0, .head_m = 2.0, .wall = 1, .piece = 0}};
static earshot_block BLOCK[] = {
    {.material = "metal", .label = "Tank", .point = TANK, .n_points = 4, .from_m = 0.0, .to_m = 1.8}};
static earshot_receiver RECEIVER[] = {
    {.name = "panel", .radio = "hub", .point = {1.25, 1.0}, .at_m = 1.5, .mounting_db = 1.0}};
static earshot_mount MOUNT[] = {
    {.name = "shelf", .radio = "hub", .point = {7.5, 3.5}, .at_m = 2.0, .mains = true, .mounting_db = 1.0}};
static earshot_device DEVICE[] = {
    {.name = "hall",
     .radio = "sensor",
     .kind = EARSHOT_KIND_SMOKE,
     .point = {6.75, 3.0},
     .at_m = 2.25,
     .mounting_db = 0.5,
     .body_db = 0.0},
    {.name = "shed",
     .label = "Shed, back",
     .radio = "sensor",
     .kind = EARSHOT_KIND_CONTACT,
     .point = {9.0, 1.5},
     .at_m = 1.2,
     .mounting_db = 3.5,
     .body_db = 0.0},
    {.name = "lamp",
     .radio = "sensor",
     .kind = EARSHOT_KIND_CONTACT,
     .point = {0.5, 3.75},
     .at_m = 1.0,
     .mounting_db = 0.0,
     .body_db = 0.0,
     .wiring = EARSHOT_WIRING_MUST},
};
static const char *const FILES[] = {"sample"};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

void sample_new(sample *s)
{
    *s = (sample){.plan = {.file = FILES,
                           .n_files = 1,
                           .site = "Sample \"site\"",
                           .band_hz = {868.3e6, 433.92e6},
                           .n_bands = 2,
                           .need_margin_db = 6.0,
                           .need_confidence = 0.95,
                           .material = MATERIAL,
                           .radio = RADIO,
                           .capacity = CAPACITY,
                           .storey = STOREY,
                           .wall = WALL,
                           .opening = OPENING,
                           .block = BLOCK,
                           .receiver = RECEIVER,
                           .mount = MOUNT,
                           .device = DEVICE,
                           .n_materials = COUNT(MATERIAL),
                           .n_radios = COUNT(RADIO),
                           .n_capacities = COUNT(CAPACITY),
                           .n_storeys = COUNT(STOREY),
                           .n_walls = COUNT(WALL),
                           .n_openings = COUNT(OPENING),
                           .n_blocks = COUNT(BLOCK),
                           .n_receivers = COUNT(RECEIVER),
                           .n_mounts = COUNT(MOUNT),
                           .n_devices = COUNT(DEVICE)}};
    earshot_error error;
    assert_int_equal(earshot_site_new(&s->plan, NULL, &s->site, &error), EARSHOT_OK);
    assert_int_equal(earshot_check_run(s->site, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &s->check, &error), EARSHOT_OK);
}

void sample_free(sample *s)
{
    earshot_check_clear(&s->check);
    earshot_site_free(s->site);
}
