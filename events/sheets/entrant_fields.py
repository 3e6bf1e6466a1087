"""What an entry list can hold, and the headings under which directors keep it, in several languages."""

from events.sheets.matching import Field


def _field(key: str, label: str, kind: str, headings: str) -> Field:
    """`headings`: other headings for the field, separated by commas, the surest first."""
    return Field(key, label, tuple(word.strip() for word in headings.split(",")), kind)


ENTRANT_FIELDS: tuple[Field, ...] = (
    _field(
        "given",
        "Given name",
        "name",
        """
        first name, first, forename, given, player first name, vorname, prénom, nombre, förnamn, fornavn,
        etunimi, voornaam, nome, imię, jméno, имя, 名
        """,
    ),
    _field(
        "family",
        "Family name",
        "name",
        """
        last name, last, surname, family, player last name, nachname, familienname, zuname, nom de
        famille, nom, apellido, apellidos, efternamn, etternavn, efternavn, sukunimi, achternaam, cognome,
        nazwisko, příjmení, sobrenome, фамилия, 姓
        """,
    ),
    _field(
        "full_name",
        "Name",
        "full_name",
        """
        full name, player, player name, entrant, competitor, participant, registrant, name of player, last
        first, last name first name, spieler, spielername, teilnehmer, joueur, nom complet, nom et prénom,
        jugador, nombre completo, namn, navn, nimi, naam, giocatore, имя и фамилия, 氏名, 名前
        """,
    ),
    _field(
        "member_number",
        "Member number",
        "member_number",
        """
        member no, member nr, member id, member, membership number, membership no, membership id, number,
        #, player number, player id, license, licence, license number, licence number, mitgliedsnummer,
        mitglied nr, mitgliedsnr, numéro de membre, número de socio, medlemsnummer, jäsennumero,
        lidnummer, numero tessera, 会員番号
        """,
    ),
    _field(
        "birth_year",
        "Birth year",
        "year",
        """
        year of birth, born, yob, birthyear, year born, date of birth, birth date, dob, birthday,
        geburtsjahr, jahrgang, jg, geburtsdatum, année de naissance, date de naissance, naissance, año de
        nacimiento, fecha de nacimiento, födelseår, fødselsår, syntymävuosi, geboortejaar, anno di
        nascita, rok urodzenia, rok narození, год рождения
        """,
    ),
    _field(
        "division",
        "Division",
        "division",
        """
        div, division code, class, category, cat, klasse, kategorie, spielklasse, startklasse, catégorie,
        división, categoría, klass, luokka, sarja, categorie, divisione, kategoria, дивизион
        """,
    ),
    _field(
        "rating",
        "Rating",
        "rating",
        """
        player rating, current rating, rtg, rating now, wertung, spielstärke, classement, rating value
        """,
    ),
    _field(
        "rating_date",
        "Rating date",
        "date",
        """
        rating as of, rated on, date of rating, rating updated, rating effective, rating effective date
        """,
    ),
    _field(
        "rated_rounds",
        "Rated rounds",
        "integer",
        """
        number of rated rounds, rounds rated, rounds used, rounds in rating, no of rated rounds
        """,
    ),
    _field(
        "gender",
        "Gender eligibility",
        "gender",
        """
        gender, sex, f m, m f, geschlecht, genre, sexe, género, sexo, kön, kjønn, køn, sukupuoli,
        geslacht, genere, sesso, płeć, pohlaví, пол
        """,
    ),
    _field(
        "class_of_play",
        "Professional or amateur",
        "class",
        """
        pro am, pro or am, professional amateur, classification, player class, pro amateur, player
        classification, pro status
        """,
    ),
    _field(
        "membership_current",
        "Membership status",
        "membership",
        """
        membership, member status, status of membership, current member, membership current,
        mitgliedschaft, mitgliedsstatus, adhésion, estado de socio
        """,
    ),
    _field(
        "membership_expires",
        "Membership expires",
        "date",
        """
        expires, expiry, expiration, membership expiration, membership expiry, membership expiration date,
        valid until, membership valid until, membership expires on, gültig bis
        """,
    ),
    _field(
        "town",
        "Town",
        "text",
        """
        city, place, home town, hometown, city town, residence, ort, wohnort, stadt, ville, ciudad, stad,
        by, kaupunki, woonplaats, città, miasto, město, город
        """,
    ),
    _field(
        "club",
        "Club",
        "text",
        """
        team, club name, home club, team name, verein, vereinsname, équipe, equipo, klubb, klub, seura,
        vereniging, società, клуб
        """,
    ),
    _field(
        "country",
        "Country",
        "text",
        """
        nation, nationality, country code, land, pays, país, maa, paese, kraj, země, страна
        """,
    ),
    _field(
        "email",
        "E-mail",
        "email",
        """
        email address, e mail address, mail, contact email, player email, e mail adresse, courriel,
        correo, correo electrónico, e post, sähköposti
        """,
    ),
    _field(
        "phone",
        "Phone",
        "phone",
        """
        phone number, mobile, mobile phone, mobile number, cell, cell phone, telephone, tel, telefon,
        telefonnummer, handy, handynummer, téléphone, portable, teléfono, móvil, puhelin, telefoon,
        cellulare, contact number, player phone
        """,
    ),
    _field(
        "emergency_name",
        "Emergency contact",
        "text",
        """
        emergency contact name, emergency name, name of emergency contact, emergency, notfallkontakt,
        contact d'urgence, contacto de emergencia, nödkontakt, hätäyhteyshenkilö
        """,
    ),
    _field(
        "emergency_phone",
        "Emergency phone",
        "phone",
        """
        emergency contact phone, emergency contact number, emergency number, emergency phone number,
        emergency contact phone number, notfallnummer, notfalltelefon, notfallkontakt telefon, téléphone
        d'urgence, teléfono de emergencia
        """,
    ),
    _field(
        "guardian",
        "Guardian",
        "text",
        """
        guardian name, parent, parent guardian, parent or guardian, legal guardian, accompanied by,
        begleitperson, erziehungsberechtigte, tuteur, tutor, målsman, huoltaja
        """,
    ),
    _field(
        "pack_size",
        "Pack size",
        "text",
        """
        shirt size, shirt, t shirt, t shirt size, tee shirt size, size, jersey size, player pack, player
        pack size, pack, größe, shirtgröße, taille, talla, storlek, koko
        """,
    ),
    _field(
        "paid",
        "Paid amount",
        "money",
        """
        paid, amount paid, amount, payment, payment amount, fee paid, entry fee, total paid, price,
        bezahlt, betrag, startgeld, payé, montant, pagado, importe, betalt, maksettu, betaald
        """,
    ),
    _field(
        "payment_method",
        "Payment method",
        "text",
        """
        paid by, method of payment, pay method, payment type, paid with, paid how, zahlungsart, bezahlt
        mit, mode de paiement, forma de pago, betalningssätt, maksutapa
        """,
    ),
    _field(
        "registered_at",
        "Registered at",
        "moment",
        """
        timestamp, registered, registered on, registration date, registration time, date registered, date
        of registration, entry date, entered at, entered on, signup date, sign up date, signed up,
        submitted, submitted at, zeitstempel, angemeldet am, anmeldedatum, horodateur, date d'inscription,
        marca temporal, fecha de inscripción, anmäld, påmeldt, ilmoittautumisaika
        """,
    ),
    _field(
        "add_ons",
        "Add-ons",
        "text",
        """
        add on, addons, extras, options, side games, extra, ace pool, optional items, zusatz,
        zusatzleistungen, suppléments, lisäpalvelut
        """,
    ),
    _field(
        "waitlist",
        "Waitlist",
        "yes_no",
        """
        waiting list, wait list, waitlisted, on waitlist, on waiting list, warteliste, liste d'attente,
        lista de espera, väntelista, venteliste, jonotuslista
        """,
    ),
    _field(
        "notes",
        "Notes",
        "text",
        """
        note, comment, comments, remark, remarks, message, special requests, bemerkung, bemerkungen,
        anmerkung, kommentar, notiz, remarque, remarques, notas, observaciones, huomautus
        """,
    ),
)
