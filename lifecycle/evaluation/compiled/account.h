/* The account of an alternative: `renewal` and `ledger` in the numpy form.
*/

/* Sum of a line of the following roofs to the holding period, each amount by the roofs laid early enough. */
static Draws weighed(const Draws *weight, const Draws *line, int months)
{
    Draws sum = {0};
    for (int t = 0; t <= months; t++) sum += weight[t] * line[t];
    return sum;
}

static void keep(const Room *room, int row, Draws value)
{
    memcpy(room->of->results + (int64_t)row * room->of->columns + room->column, &value, sizeof(Draws));
}

/* Chance of an unplanned new roof by a sale in a month, for a roof that starts in month 0. */
static Draws renewed_by(const Result *spell, int month)
{
    Draws sum = -spell->renewed_after[month];
    for (int t = 0; t <= month; t++) sum += spell->renewed[t];
    return sum;
}

static void account(Room *room, const Way *way)
{
    const Sizes *sizes = room->of->sizes;
    const Spell *spell = &room->of->spells[way->existing];
    const int months = sizes->months, years = sizes->years, entries = months + 2;
    const Result *own = &room->results[sizes->new_roofs], *new = &room->results[way->following];
    Draws *laid = room->laid;

    /* Roofs laid: the first by the end of the standing roof, each later one by the end of one before. */
    for (int t = 0; t <= months; t++) {
        laid[t] = own->renewed[t];
        if (t == spell->planned) laid[t] += own->changed;
        if (t > 0) laid[t] += convolved(new->renewed + 1, laid, t - 1);
    }

    /* Roofs laid by each month, discounted at each rate; and their weight at the holding period. */
    Draws until_sale;
    EACH_LANE until_sale[lane] = room->holding[lane];
    for (int rate = 0; rate < sizes->rates; rate++) {
        const Draws *factor = room->factor + rate * entries;
        Draws *running = room->running + rate * entries, *weight = room->weight + rate * entries, sum = {0};
        for (int t = 0; t <= months; t++) running[t] = sum += laid[t] * factor[t];
        for (int t = 0; t <= months; t++) {
            int back[LANES];
            EACH_LANE back[lane] = room->holding[lane] - t;
            weight[t] = picked(running, back, 0);
        }
    }

    /* What lies before a sale: of the standing roof, and of the roofs that follow. */
    int row = way->results;
    Draws *total = room->total;
    memset(total, 0, (size_t)(years + 1) * sizeof(Draws));
    Draws at_holding = {0};
    for (int rate = 0; rate < sizes->rates; rate++) {
        const Draws *running = room->running + rate * entries;
        memset(room->own, 0, (size_t)entries * sizeof(Draws));
        memset(room->following, 0, (size_t)entries * sizeof(Draws));
        int used = 0;
        for (int line = 0; line < sizes->money_lines; line++) {
            if (room->of->rates[line] != rate) continue;
            used = 1;
            for (int t = 0; t <= months; t++) {
                room->own[t] += own->lines[line * entries + t];
                room->following[t] += new->lines[line * entries + t];
            }
        }
        if (!used) continue;
        Draws sum = room->own[0];
        for (int year = 1; year <= years; year++) {
            for (int t = 12 * year - 11; t <= 12 * year; t++) sum += room->own[t];
            total[year] += sum + convolved(room->following, running, 12 * year);
        }
        for (int t = 0; t <= months; t++)
            at_holding += choose((Flags)(all(t) <= until_sale), room->own[t], all(0.0));
        at_holding += weighed(room->weight + rate * entries, room->following, months);
    }

    /* The sale: the roof that stands, new ones some months old, and one laid in step 2 of the month. */
    const Draws *sale_factor = room->factor;
    for (int t = 0; t <= months; t++)
        room->net[t] = new->found_at_sale[t] - new->residual[t]
                       + new->renewed[t] * (new->found_at_sale[0] - new->residual[0]);
    for (int t = 0; t <= months; t++)
        room->net[t] -= new->renewed_after[t] * (new->found_at_sale[0] - new->residual[0]);
    for (int year = 1; year <= years; year++) {
        const int t = 12 * year;
        const Draws standing = own->found_at_sale[t] - own->residual[t];
        const Draws laid_now = own->renewed[t] - own->renewed_after[t];
        const Draws sale = standing + convolved(room->net + 1, laid, t - 1)
                           + laid_now * (new->found_at_sale[0] - new->residual[0]);
        total[year] += sale * sale_factor[t];
    }
    for (int year = 0; year <= years; year++) keep(room, row++, total[year]);

    const int *holding = room->holding;
    const Draws laid_then = picked(own->renewed, holding, 0) - picked(own->renewed_after, holding, 0);
    Draws found_then = picked(own->found_at_sale, holding, 0) + laid_then * new->found_at_sale[0];
    Draws residual_then = picked(own->residual, holding, 0) + laid_then * new->residual[0];
    for (int t = 1; t <= months; t++) {
        int back[LANES];
        EACH_LANE back[lane] = holding[lane] - t;
        const Draws roofs = picked(laid, back, 0), renewed = new->renewed[t] - new->renewed_after[t];
        found_then += roofs * (new->found_at_sale[t] + renewed * new->found_at_sale[0]);
        residual_then += roofs * (new->residual[t] + renewed * new->residual[0]);
    }
    const Draws discount = picked(sale_factor, holding, 0);
    found_then *= discount;
    residual_then *= discount;
    keep(room, row++, at_holding + found_then - residual_then);
    keep(room, row++, found_then);
    keep(room, row++, residual_then);

    /* First changes are the standing roof's alone. */
    const Draws *changes = own->lines + room->of->lines->first_changes * entries;
    Draws changed = {0};
    for (int t = 0; t <= months; t++)
        changed += choose((Flags)(all(t) <= until_sale), changes[t], all(0.0));
    keep(room, row++, changed);
    if (!sizes->by_line) return;

    Draws sum = changes[0];
    keep(room, row++, all(0.0));
    for (int year = 1; year <= years; year++) {
        for (int t = 12 * year - 11; t <= 12 * year; t++) sum += changes[t];
        keep(room, row++, sum);
    }
    keep(room, row++, all(0.0));
    for (int year = 1; year <= years; year++) {
        Draws by_then = renewed_by(own, 12 * year);
        if (spell->planned >= 0 && 12 * year >= spell->planned)
            by_then += own->changed * renewed_by(new, 12 * year - spell->planned);
        keep(room, row++, by_then);
    }
    for (int line = 0; line < sizes->lines; line++) {
        const Draws *by_own = own->lines + line * entries;
        Draws to_sale = {0};
        for (int t = 0; t <= months; t++)
            to_sale += choose((Flags)(all(t) <= until_sale), by_own[t], all(0.0));
        to_sale += weighed(room->weight + room->of->rates[line] * entries, new->lines + line * entries, months);
        keep(room, row++, to_sale);
    }
}

