/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long placement takes, split into radio, cables and solver, and how it grows with devices and places.
 *
 * The site is made up: two storeys of brick and stud, larger with more devices, places everywhere along a grid, three
 * scenes and two bands. Times are by the clock, radio and cables with all threads; the last is processor time of all
 * threads. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "bench/bench.h"
#include "earshot/earshot.h"

typedef struct size {
    size_t devices, places;
    unsigned hops;
} size;

static void add_storey(earshot_text *text, const char *name, double level, double width, double depth)
{
    es_text_format(text, "storey %s level=%gm height=2.5m\n", name, level);
    es_text_format(text, "wall brick-cavity 0,0 %g,0 %g,%g 0,%g 0,0\n", width, width, depth, depth);
    for (double x = 5.0; x < width - 1.0; x += 5.0)
        es_text_format(text, "wall %s %g,0 %g,%g\n", fmod(x, 15.0) == 0.0 ? "brick-half" : "inner", x, x, depth);
    for (double y = 6.0; y < depth - 1.0; y += 6.0) es_text_format(text, "wall inner 0,%g %g,%g\n", y, width, y);
    es_text_format(text, "slab timber-floor 0,0 %g,0 %g,%g 0,%g\n", width, width, depth, depth);
}

/* Spread evenly but not on a lattice: multiples of the golden section and of the square root of two. */
static double share(size_t i, double step)
{
    return fmod(0.5 + (double)i * step, 1.0);
}

static char *make_plan(size s)
{
    static const char *const KIND[] = {"movement", "contact", "glass", "smoke", "movement", "contact", "keypad", "fob"};
    const double width = 20.0 * sqrt((double)s.devices / 8.0), depth = 0.6 * width;
    earshot_text text = {0};
    es_text_format(&text,
                   "plan 1\nband 868.30MHz 433.92MHz\nneed margin=10dB confidence=95%%\n"
                   "radio hub erp=14dBm sensitivity=-104dBm twoway=yes hops=%u\nradio sensor erp=4dBm\n"
                   "capacity hub movement,contact,glass,smoke=%zu keypad=16 fob=64\n"
                   "material inner layers=plasterboard:12.5mm,air:75mm,plasterboard:12.5mm\n"
                   "material foil loss=433:14dB,868:18dB\n",
                   s.hops, s.devices);
    for (unsigned storey = 0; storey < 2; storey++) {
        add_storey(&text, storey ? "upper" : "lower", 2.7 * storey, width, depth);
        if (!storey) es_text_add(&text, "receiver place-0 1,1 at=1.6m radio=hub\n");
        for (size_t i = 1 + storey; i < s.places; i += 2)
            es_text_format(&text, "mount place-%zu %.2f,%.2f at=2m mains=yes\n", i,
                           0.2 + share(i, 0.6180339887) * (width - 0.4), 0.2 + share(i, 0.4142135623) * (depth - 0.4));
        for (size_t i = storey; i < s.devices; i += 2)
            es_text_format(&text, "device d-%zu %s %.2f,%.2f at=2.1m radio=sensor\n", i, KIND[i % 8],
                           0.2 + share(i, 0.7548776662) * (width - 0.4), 0.2 + share(i, 0.5698402910) * (depth - 0.4));
    }
    es_text_add(&text, "scene shut swap=inner:brick-half\nscene lined swap=brick-half:foil\n");
    return text.data;
}

static earshot_placement place(const earshot_site *const *site, double band_hz)
{
    const earshot_place_request request = {
        .site = site, .n_sites = 3, .frequency_hz = band_hz, .receiver = EARSHOT_NONE, .best = 3, .seconds = INFINITY};
    earshot_placement p;
    earshot_error error = {0};
    if (earshot_place_run(&request, &p, &error)) {
        fprintf(stderr, "%s\n", error.message);
        exit(1);
    }
    return p;
}

static void run(size s)
{
    char *text = make_plan(s);
    earshot_plan *plan;
    static earshot_findings findings;
    earshot_site *site[3];
    static const char *const SCENE[] = {NULL, "shut", "lined"};
    if (earshot_plan_read(text, strlen(text), "bench", &plan, &findings)) {
        fprintf(stderr, "%s\n", findings.mistake[0].message);
        exit(1);
    }
    for (size_t i = 0; i < 3; i++)
        if (earshot_site_new(plan, SCENE[i], &site[i], NULL)) exit(1);
    for (size_t band = 0; band < plan->n_bands; band++) {
        const double before_s = bench_seconds();
        earshot_placement p = place((const earshot_site *const *)site, plan->band_hz[band]);
        const earshot_choice *c = &p.choice[0];
        printf("%7zu %6zu %4u  %6.2f %8zu %7.2f %7.2f %7.2f %7.2f %7.2f %6zu   %-3s %8.2f %6.2f %4zu %4zu %4zu\n",
               s.devices, s.places, s.hops, plan->band_hz[band] / 1e6, p.n_links, p.radio_s, p.cable_s, p.solve_s,
               p.radio_s + p.cable_s + p.solve_s, bench_seconds() - before_s, p.n_solves, p.proven ? "yes" : "no",
               c->cost, c->worst_db, c->n_repeaters, c->n_wired, c->n_unserved);
        fflush(stdout);
        earshot_placement_clear(&p);
    }
    for (size_t i = 0; i < 3; i++) earshot_site_free(site[i]);
    earshot_plan_free(plan);
    free(text);
}

int main(int argc, char **argv)
{
    static const size SIZE[] = {{16, 200, 1}, {32, 200, 1}, {64, 25, 1},   {64, 50, 1}, {64, 100, 1},
                                {64, 200, 1}, {64, 400, 1}, {128, 200, 1}, {64, 200, 2}};
    bench_print_machine();
    printf("devices places hops     MHz    links radio s cable s solve s   all s   cpu s solves proven   cost  worst "
           "reps wire "
           "none\n");
    if (argc == 4) {
        run((size){strtoul(argv[1], NULL, 10), strtoul(argv[2], NULL, 10), (unsigned)strtoul(argv[3], NULL, 10)});
        return 0;
    }
    for (size_t i = 0; i < sizeof SIZE / sizeof SIZE[0]; i++) run(SIZE[i]);
    return 0;
}
