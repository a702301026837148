#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Writes plans of invented houses, the same ones each time (demo data): make_sites.sh NUMBER FOLDER
# Each has 2 to 5 rooms a side of a corridor, an outbuilding, a receiver and 5 to 30 devices.
set -eu

mkdir -p "$2"
LC_ALL=C awk -v n="$1" -v folder="$2" '
    # Numbers that look random: x -> 16807 x mod 2^31-1 (S. Park, K. Miller, Communications of the ACM 31, 1988; from
    # memory). Products stay below 2^53.
    function chance() { seed = (seed * 16807) % 2147483647; return seed / 2147483647 }
    function between(low, high) { return low + (high - low) * chance() }
    function pick(words,   part, many) { many = split(words, part, " "); return part[1 + int(chance() * many)] }
    function line(text) { print text > file }
    function wall(material, points) { line("wall " material " " points) }

    function head() {
        line("plan 1")
        line("site \"House " i " (demo data)\"")
        line("band 868.30MHz")
        line("need margin=6dB confidence=95%")
        line("radio hub erp=14dBm gain=0dBi sensitivity=-106dBm twoway=yes mains=yes")
        line("radio sensor erp=8dBm")
        line("storey ground level=0m height=2.5m")
    }
    function house(   x) {
        rooms = 2 + int(chance() * 4)
        width = rooms * 3.4
        depth = between(7, 10)
        outside = pick("brick-cavity brick-block-cavity stone-450 dense-block-215")
        wall(outside, sprintf("0,0 %.2f,0 %.2f,%.2f 0,%.2f 0,0", width, width, depth, depth))
        corridor = depth / 2 - 0.6
        wall("stud", sprintf("0,%.2f %.2f,%.2f", corridor, width, corridor))
        wall("stud", sprintf("0,%.2f %.2f,%.2f", corridor + 1.2, width, corridor + 1.2))
        for (x = 1; x < rooms; x++) {
            inside = pick("stud dense-block-100 brick-half")
            wall(inside, sprintf("%.2f,0 %.2f,%.2f", x * 3.4, x * 3.4, corridor))
            wall(inside, sprintf("%.2f,%.2f %.2f,%.2f", x * 3.4, corridor + 1.2, x * 3.4, depth))
        }
        for (x = 0; x < rooms; x++) {
            line(sprintf("window %.2f,0 %.2f,0", x * 3.4 + 1, x * 3.4 + 2.3))
            line(sprintf("door %.2f,%.2f %.2f,%.2f", x * 3.4 + 0.5, corridor, x * 3.4 + 1.3, corridor))
        }
        line(sprintf("receiver panel %.2f,%.2f at=1.6m radio=hub on=masonry", between(0.5, width - 0.5), corridor + 0.6))
    }
    function outbuilding(   x) {
        x = width + between(3, 25)
        wall("dense-block-215", sprintf("%.2f,1 %.2f,1 %.2f,6 %.2f,6 %.2f,1", x, x + 5, x + 5, x, x))
        line(sprintf("door %.2f,2 %.2f,4.4 material=%s head=2.2m", x, x, pick("garage-door steel-door timber-door")))
        line(sprintf("device out-move movement %.2f,5.7 at=2.2m radio=sensor on=masonry", x + 4.7))
        line(sprintf("device out-door contact %.2f,1.9 at=2m radio=sensor on=metal", x + 0.2))
    }
    function devices(   k, many) {
        many = 3 + int(chance() * 26)
        for (k = 1; k <= many; k++)
            line(sprintf("device d%d %s %.3f,%.3f at=%.2fm radio=sensor on=%s", k, pick("movement contact glass smoke"),
                         between(0.21, width - 0.21), between(0.21, depth - 0.21), between(0.3, 2.3),
                         pick("free plaster wood masonry")))
        line(sprintf("mount spare %.2f,%.2f at=2.1m mains=yes radio=hub", width - 0.3, corridor + 0.4))
    }
    BEGIN {
        for (i = 1; i <= n; i++) {
            seed = 20000 + 7919 * i
            chance(); chance()
            file = sprintf("%s/site-%04d.plan", folder, i)
            head(); house(); outbuilding(); devices()
            close(file)
        }
    }'
