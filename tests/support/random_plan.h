/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans of every shape that the language allows, made by chance but the same each time. */
#ifndef TEST_RANDOM_PLAN_H
#define TEST_RANDOM_PLAN_H

#include <stdbool.h>

#include "base/text.h"
#include "support/random.h"

/* How far apart houses stand; far enough by default that few devices are heard. */
#ifndef RANDOM_PLAN_SPREAD_M
#define RANDOM_PLAN_SPREAD_M 200
#define RANDOM_PLAN_RECEIVER "-300.5,-17.25"
#endif

typedef struct random_plan {
    earshot_text text;
    uint64_t seed;
    unsigned n_names;
} random_plan;

static inline bool chance(random_plan *p, unsigned percent)
{
    return random_below(&p->seed, 100) < percent;
}

static inline const char *one_of(random_plan *p, const char *const *words, size_t n)
{
    return words[random_below(&p->seed, n)];
}

#define ONE_OF(p, ...)                                                                                                 \
    one_of((p), (const char *const[]){__VA_ARGS__}, sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *))

/* ` key=value` in some percent of all cases, in one of the spellings that a person might use. */
static inline void maybe(random_plan *p, unsigned percent, const char *key, double low, double high, const char *unit)
{
    if (!chance(p, percent)) return;
    const double value = random_between(&p->seed, low, high);
    const int digits = (int)random_below(&p->seed, 17) + 1;
    es_text_format(&p->text, " %s=%.*f%s", key, digits, value, unit);
}

static inline void maybe_word(random_plan *p, unsigned percent, const char *key, const char *word)
{
    if (chance(p, percent)) es_text_format(&p->text, " %s=%s", key, word);
}

static inline void maybe_label(random_plan *p)
{
    static const char *const LABELS[] = {"Hall", "G\xC3\xA4ste-WC", "24\\\" door", "a # b",
                                         "",     "back\\\\slash",   "\xE2\x82\xAC"};
    if (chance(p, 40)) es_text_format(&p->text, " label=\"%s\"", one_of(p, LABELS, 7));
}

static inline double centimetres(random_plan *p, double low, double high)
{
    return (double)(long)(random_between(&p->seed, low, high) * 100) / 100;
}

static inline void random_radios(random_plan *p)
{
    es_text_add(&p->text, "radio hub erp=14dBm sensitivity=-107dBm twoway=yes\n");
    for (unsigned i = 0; i < 3; i++) {
        es_text_format(&p->text, "radio r%u erp=%.3fdBm", i, random_between(&p->seed, -20, 20));
        maybe(p, 50, "gain", -9, 9, "dBi");
        maybe(p, 50, "sensitivity", -120, -70, "dBm");
        maybe_word(p, 30, "mains", "yes");
        maybe_word(p, 30, "antenna", ONE_OF(p, "vertical", "horizontal-y", "dipole-vertical", "dipole-y"));
        maybe_word(p, 30, "channels", ONE_OF(p, "2", "17", "1"));
        maybe_word(p, 30, "hops", ONE_OF(p, "0", "4"));
        maybe(p, 30, "messages", 0, 400, "");
        maybe(p, 30, "airtime", 1, 900, "ms");
        if (chance(p, 30)) es_text_add(&p->text, " noise=rural figure=7.25dB bandwidth=12.5kHz snr=8.75dB");
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
    }
    if (chance(p, 50)) es_text_add(&p->text, "capacity hub movement,contact=31 fob=62\ncapacity r1 smoke=7\n");
}

static inline void random_materials(random_plan *p)
{
    for (unsigned i = 0; i < 3; i++) {
        es_text_format(&p->text, "material m%u", i);
        if (i != 1)
            es_text_format(&p->text, " layers=brick:%.2fmm,air:%.4fin", random_between(&p->seed, 1, 400),
                           random_between(&p->seed, 0.1, 9));
        if (i != 0)
            es_text_format(&p->text, " loss=433.92:%.7fdB,868:%.1f", random_between(&p->seed, 0, 40),
                           random_between(&p->seed, 0, 40));
        maybe(p, 80, "spread", 0, 12, "dB");
        maybe_word(p, 40, "basis", ONE_OF(p, "measured", "published", "computed", "extrapolated", "judgement"));
        if (chance(p, 30)) es_text_add(&p->text, " source=\"a book, p. 7\"");
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
    }
    if (chance(p, 50)) es_text_add(&p->text, "electrical own \"Own\" a=3.25 b=-0.125 c=0.0415 d=1.2 from=1GHz\n");
    if (chance(p, 50)) es_text_add(&p->text, "scene shut \"Shut\" swap=m0:m1,stud:open\n");
}

static inline void random_things(random_plan *p, double x, double y)
{
    for (size_t n = random_below(&p->seed, 4); n; n--) {
        es_text_format(&p->text, "device d%u %s %.4f,%.4f at=%.2f", p->n_names++,
                       ONE_OF(p, "movement", "glass", "smoke", "carbon-monoxide", "keypad", "output", "other"),
                       x + random_between(&p->seed, 0.5, 3.5), y + random_between(&p->seed, 0.5, 5.5),
                       random_between(&p->seed, 0, 2.4));
        es_text_format(&p->text, " radio=%s", ONE_OF(p, "r0", "r1", "r2", "hub"));
        maybe_word(p, 30, "on", ONE_OF(p, "free", "plaster", "wood", "masonry", "metal"));
        maybe(p, 20, "mounting", 0, 9, "dB");
        maybe(p, 20, "body", 0, 20, "dB");
        maybe_word(p, 20, "link", ONE_OF(p, "wire", "radio"));
        maybe(p, 20, "current", 1, 400, "mA");
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
    }
    if (!chance(p, 40)) return;
    es_text_format(&p->text, "mount n%u %.3f,%.3f at=%.2fft", p->n_names++, x + 1.111, y + 2.222,
                   random_between(&p->seed, 1, 8));
    maybe_word(p, 40, "mains", "yes");
    maybe_word(p, 40, "radio", "hub");
    maybe_label(p);
    es_text_add_char(&p->text, '\n');
}

/* A house of two rooms at x, y. */
static inline void random_house(random_plan *p, double x, double y)
{
    es_text_format(&p->text, "wall %s %.2f,%.2f %.2f,%.2f %.2f,%.2f %.2f,%.2f %.2f,%.2f", ONE_OF(p, "m0", "brick-half"),
                   x, y, x + 8, y, x + 8, y + 6, x, y + 6, x, y);
    maybe(p, 20, "from", -0.4, 0, "m");
    maybe_label(p);
    es_text_format(&p->text, "\nwall %s %.2f,%.2f %.2f,%.2f\n", ONE_OF(p, "m1", "stud"), x + 4, y, x + 4, y + 6);
    if (chance(p, 70)) {
        const double from = centimetres(p, y + 0.2, y + 4);
        es_text_format(&p->text, "door %.2f,%.2f %.2f,%.2f", x + 4, from, x + 4, from + 0.85);
        maybe_word(p, 30, "material", ONE_OF(p, "open", "steel-door", "m2"));
        maybe(p, 30, "head", 1.8, 2.4, "m");
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
    }
    if (chance(p, 70)) {
        es_text_format(&p->text, "window %.3f,%.3f %.3f,%.3f", x + 1.003, y + 6.004, x + 2.25, y + 5.997);
        maybe(p, 30, "sill", 40, 120, "cm");
        es_text_add_char(&p->text, '\n');
    }
    if (chance(p, 50)) {
        es_text_format(&p->text, "slab timber-floor %.2f,%.2f %.2f,%.2f %.2f,%.2f %.2f,%.2f", x, y, x + 8, y, x + 8,
                       y + 6, x, y + 6);
        maybe(p, 30, "at", 0, 5, "m");
        es_text_format(&p->text, "\nhole %.2f,%.2f %.2f,%.2f %.2f,%.2f\n", x + 1, y + 1, x + 2, y + 1, x + 2, y + 3);
    }
    if (chance(p, 50)) {
        es_text_format(&p->text, "block %s %.2f,%.2f %.2f,%.2f %.2f,%.2f", ONE_OF(p, "vehicle", "m2"), x + 5, y + 1,
                       x + 6, y + 1, x + 6, y + 2);
        maybe(p, 50, "to", 50, 220, "cm");
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
    }
    random_things(p, x, y);
}

static inline void random_storeys(random_plan *p)
{
    static const char *const NAMES[] = {"cellar", "ground", "first"};
    const size_t n = random_below(&p->seed, 3) + 1;
    for (size_t s = 0; s < n; s++) {
        es_text_format(&p->text, "storey %s level=%.2fm height=2.45m", NAMES[s], (double)s * 2.8 - 2.8);
        maybe_label(p);
        es_text_add_char(&p->text, '\n');
        for (size_t h = random_below(&p->seed, 3); h; h--) {
            random_house(p, centimetres(p, -RANDOM_PLAN_SPREAD_M, RANDOM_PLAN_SPREAD_M),
                         30.0 * (double)h + centimetres(p, 0, 10));
        }
        if (s == 0) es_text_add(&p->text, "receiver panel " RANDOM_PLAN_RECEIVER " at=1.6m radio=hub\n");
    }
}

/* Clear p->text afterwards. */
static inline void make_random_plan(random_plan *p, uint64_t seed)
{
    *p = (random_plan){.seed = seed};
    es_text_add(&p->text, "plan 1\n");
    if (chance(p, 60)) es_text_add(&p->text, "site \"Fernhollow\"\n");
    if (chance(p, 60)) es_text_format(&p->text, "band %.6fMHz 433.92\n", random_between(&p->seed, 863, 870));
    if (chance(p, 40)) es_text_add(&p->text, "ground medium-dry\n");
    if (chance(p, 40)) es_text_format(&p->text, "need confidence=%.4f%%\n", random_between(&p->seed, 50, 99.9));
    random_radios(p);
    random_materials(p);
    random_storeys(p);
}

#endif
