-- The tables that date.sql reads. The files beside it fill those called `dating_…`, one file each: features.csv fills
-- dating_features, and so on. Empty cells are NULL. Text that a spreadsheet could take for a formula has one ' before
-- it; the query allows for that in conditions, and compares everything else as written in the files. How files are
-- loaded differs. With PostgreSQL's `psql` or DuckDB, after the statements below, for each file:
--
--     \copy dating_features FROM 'features.csv' WITH (FORMAT csv, HEADER true)     psql
--     COPY dating_features FROM 'features.csv' (FORMAT csv, HEADER true);          DuckDB
--
-- When all tables are full, garments, readings and code_years too, say once, before the query:
--
--     ANALYZE;
--
-- Without statistics a database guesses how many rows each table has. PostgreSQL picks nested loops even with them, and
-- the query does not end: say `SET enable_nestloop = off;` there too. Say ANALYZE again after the tables have changed
-- much. SQLite's `.import` makes empty cells '' instead of NULL; the query reads them as NULL. The guide's page *Use
-- the data* has the commands of five engines.

-- Yours: the garments, with what is known of them besides their readings. Ids are those of rules.json; what is not
-- known is NULL. The market is where it was sold new, ISO 3166-1 alpha-2.
CREATE TABLE garments (
    garment VARCHAR(200) NOT NULL PRIMARY KEY, maker VARCHAR(800), model VARCHAR(800), line VARCHAR(800),
    wearer VARCHAR(800), variant VARCHAR(800), market VARCHAR(2)
);

-- Yours: the readings, a row for each feature that was examined. The state is the text of a state, count, number,
-- measure or code, or `absent`, `lost` or `other`; the amount is the same as a number, if it is one.
CREATE TABLE readings (
    garment VARCHAR(200) NOT NULL, feature VARCHAR(800) NOT NULL, state VARCHAR(1000) NOT NULL,
    amount DOUBLE PRECISION, PRIMARY KEY (garment, feature)
);

-- Yours: the years that keys read from the codes on the garments, as runs of years. SQL cannot read a code by a key, so
-- a program does it: `bartack date --batch FILE.csv --format json`, or `date(rules, garment)` of reader.mjs, whose answer
-- has `keys`. Of each of these whose `used` is true, join the adjacent years of `years` to runs, and add a row a run:
-- the garment, the key's `feature`, its `key` and the first and last year of the run. A garment without a code that is
-- used has no rows here. Leave out keys whose `used` is false: nobody named the maker, or two keys read the code
-- differently.
CREATE TABLE code_years (
    garment VARCHAR(200) NOT NULL, feature VARCHAR(800) NOT NULL, code_key VARCHAR(800) NOT NULL,
    first_year INTEGER NOT NULL, last_year INTEGER NOT NULL,
    PRIMARY KEY (garment, feature, code_key, first_year)
);

-- Features: state, count, measure, number or code.
CREATE TABLE dating_features (feature VARCHAR(800) NOT NULL PRIMARY KEY, kind VARCHAR(10) NOT NULL);
-- The sorts of garments that a feature is found on; a feature without a row is found on all.
CREATE TABLE dating_garment_types (
    feature VARCHAR(800) NOT NULL, garment_type VARCHAR(800) NOT NULL, PRIMARY KEY (feature, garment_type)
);
-- What tables have a column for.
CREATE TABLE dating_columns (
    feature VARCHAR(800) NOT NULL, state VARCHAR(800) NOT NULL, PRIMARY KEY (feature, state)
);
-- Where the bands of a number or measure are cut; a number on a cut belongs above it.
CREATE TABLE dating_bands (
    feature VARCHAR(800) NOT NULL, edge DOUBLE PRECISION NOT NULL, PRIMARY KEY (feature, edge)
);
-- The years that are considered, with the first years of their decades. Where a row is about a decade, y0 to y9 are its
-- years.
CREATE TABLE dating_years (year INTEGER NOT NULL PRIMARY KEY, decade INTEGER NOT NULL);

-- Models: whether any garment is counted (1 or 0), and the power that likelihoods are raised to.
CREATE TABLE dating_models (
    model VARCHAR(800) NOT NULL, garment_type VARCHAR(800) NOT NULL, counted INTEGER NOT NULL,
    temper DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (model)
);
-- Features that garments of a model were examined for.
CREATE TABLE dating_examined (
    model VARCHAR(800) NOT NULL, feature VARCHAR(800) NOT NULL, PRIMARY KEY (model, feature)
);
-- Variants, with the numbers that other tables call them by: whether any side of their era is bounded (1 or 0).
CREATE TABLE dating_variants (
    variant VARCHAR(800) NOT NULL, number INTEGER NOT NULL, model VARCHAR(800) NOT NULL, maker VARCHAR(800) NOT NULL,
    line VARCHAR(800), wearer VARCHAR(800), bounded INTEGER NOT NULL,
    PRIMARY KEY (variant)
);
-- How likely each year is for a garment of a variant before anything is seen; not normalised.
CREATE TABLE dating_weights (
    variant INTEGER NOT NULL, decade INTEGER NOT NULL,
    y0 DOUBLE PRECISION NOT NULL, y1 DOUBLE PRECISION NOT NULL, y2 DOUBLE PRECISION NOT NULL,
    y3 DOUBLE PRECISION NOT NULL, y4 DOUBLE PRECISION NOT NULL, y5 DOUBLE PRECISION NOT NULL,
    y6 DOUBLE PRECISION NOT NULL, y7 DOUBLE PRECISION NOT NULL, y8 DOUBLE PRECISION NOT NULL,
    y9 DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (variant, decade)
);

-- Twentieths of a bit: base-2 logarithms of probabilities. Those of models are the same in all years.
CREATE TABLE dating_model_cells (
    model VARCHAR(800) NOT NULL, feature VARCHAR(800) NOT NULL, state VARCHAR(800) NOT NULL, cell INTEGER NOT NULL,
    PRIMARY KEY (model, feature, state)
);
-- Those of a variant in the first year, less those of its model; a state without a row has the model's in all years.
-- Other years differ from the first by the course; without one, none does.
CREATE TABLE dating_cells (
    variant INTEGER NOT NULL, feature VARCHAR(800) NOT NULL, state VARCHAR(800) NOT NULL, cell INTEGER NOT NULL,
    course INTEGER,
    PRIMARY KEY (variant, feature, state)
);
-- Courses: what each year adds to the first one. A decade without a row adds nothing.
CREATE TABLE dating_courses (
    course INTEGER NOT NULL, decade INTEGER NOT NULL,
    y0 DOUBLE PRECISION NOT NULL, y1 DOUBLE PRECISION NOT NULL, y2 DOUBLE PRECISION NOT NULL,
    y3 DOUBLE PRECISION NOT NULL, y4 DOUBLE PRECISION NOT NULL, y5 DOUBLE PRECISION NOT NULL,
    y6 DOUBLE PRECISION NOT NULL, y7 DOUBLE PRECISION NOT NULL, y8 DOUBLE PRECISION NOT NULL,
    y9 DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (course, decade)
);

-- Densities of measures, by number: of a model's garments alike in all of its strata.
CREATE TABLE dating_measures (
    density INTEGER NOT NULL, model VARCHAR(800) NOT NULL, feature VARCHAR(800) NOT NULL, degrees INTEGER NOT NULL,
    log2_constant DOUBLE PRECISION NOT NULL, slip DOUBLE PRECISION NOT NULL, width DOUBLE PRECISION NOT NULL,
    shrinks INTEGER NOT NULL, centre DOUBLE PRECISION NOT NULL, spread DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (density)
);
-- What a garment must show for a density to apply: a state, or a band counted from 0.
CREATE TABLE dating_strata (
    density INTEGER NOT NULL, covariate VARCHAR(800) NOT NULL, state VARCHAR(800), band INTEGER,
    PRIMARY KEY (density, covariate)
);
-- Centres and spreads of variants; the density's own serve for the others. One is steady (1): it holds in the first
-- year, and its course says -1 where another holds. The others' courses say 1 where they hold.
CREATE TABLE dating_centres (
    density INTEGER NOT NULL, variant INTEGER NOT NULL, course INTEGER NOT NULL, steady INTEGER NOT NULL,
    centre DOUBLE PRECISION NOT NULL, spread DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (course)
);

-- Landmarks: hard ones (1, not 0) rule years out; days are ISO 8601 and compared as text; years are those of the days.
CREATE TABLE dating_landmarks (
    landmark VARCHAR(800) NOT NULL, hard INTEGER NOT NULL, market VARCHAR(2), odds DOUBLE PRECISION NOT NULL,
    zone VARCHAR(800), not_before VARCHAR(20), not_after VARCHAR(20), first_year INTEGER, last_year INTEGER,
    PRIMARY KEY (landmark)
);
-- Conditions: a landmark applies if all parts of any of its clauses are met: a state, or a number in a range. One that
-- could be met in more than 1000 ways has no rows here and does not apply.
CREATE TABLE dating_conditions (
    landmark VARCHAR(800) NOT NULL, clause INTEGER NOT NULL, parts INTEGER NOT NULL, feature VARCHAR(800) NOT NULL,
    state VARCHAR(1000), low DOUBLE PRECISION, high DOUBLE PRECISION
);

-- Keys to codes: the feature that holds the code, and how many times less likely the years are that the key does not
-- read from it.
CREATE TABLE dating_keys (
    code_key VARCHAR(800) NOT NULL, feature VARCHAR(800) NOT NULL, odds DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (code_key)
);
