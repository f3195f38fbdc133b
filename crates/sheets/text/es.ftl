# Textos de las hojas de corte y de la página de campo en español.
# Los términos: véase el registro de fuentes, crates/plan/src/sources.rs.


## Checks: what their findings say

acid-soil =
    .message = { $what } puede corroerse con pH { $figure }.
    .others = { $what }, y { $figure } más,
    .one-other = { $what }, y otro más,
    .title = Concreto o metal en suelo ácido
    .advice = Si es un dren viejo, dibuje tubo de plástico nuevo en su lugar.
    .remedy = Use plástico para el tubo nuevo

adverse-grade =
    .message = { $name } sube hacia la salida entre { $figure-above } y { $figure-below } ({ $figure }). Ahí se estancaría el agua.
    .title = { $name } va cuesta arriba hacia la salida

along-bank =
    .message = { $figure } de { $name } van a menos de { $figure-near } de { $what }: el bordo se derrumba y el agua pasa directo del canal al tubo.
    .title = { $name } va junto a un canal

bank-unprotected =
    .message = El talud en { $name } se puede deslavar: { $why }.
    .title = El talud en { $name } está sin protección
    .remedy = Proteja el talud en { $name } con piedra o saque el tubo más allá

batch-shift =
    .message = La serie { $name } queda { $figure } { $sits } que { $what } en { $figure-shots } puntos, con dispersión de { $figure-scatter }. ¿Otro datum, otra antena o árboles encima?
    .title-high = La serie { $name } queda alta
    .title-low = La serie { $name } queda baja

below-clean-grade =
    .message = { $name } { $place }: { $figure } es menos pendiente que { $figure-least } para tubo de { $figure-pipe }.
    .title = { $name } tiene muy poca pendiente para mantenerse limpio

below-silt-grade =
    .message = El suelo es { $texture }; con { $figure } el tubo de { $figure-pipe } de { $name } no arrastra su propio limo, con { $figure-wanted } sí (en { $figure-of }).
    .title = El limo se va a asentar en { $name }
    .remedy-trap = Ponga una trampa de sedimento en { $name } en { $figure }
    .remedy-narrow = Use ranuras angostas y ponga una trampa de sedimento en { $name } en { $figure }

below-vineyard-guide =
    .message = { $figure } de { $name } es menos pendiente que la guía, { $figure-wanted }.
    .title = { $name } tiene menos pendiente que la guía para viñedos

beside-footing =
    .message = La zanja de { $name } socava { $what } en { $figure }: queda { $figure-below } más abajo de lo permitido.
    .title = { $name } socava { $what }
    .advice = O que un ingeniero diga qué aguanta el terreno, y acéptelo con su nombre.

beyond-machine =
    .message = La zanja de { $name } tiene { $figure } de hondo en { $figure-at }: más que la máquina, que alcanza { $figure-reach }.
    .title = { $name } es más hondo de lo que excava la máquina
    .advice = Consiga una máquina que excave hasta { $figure }

blinding-missing =
    .message = El relleno tiene { $name }, y no se pide tierra suave sobre el tubo.
    .title = No se pide tierra suave sobre el tubo
    .remedy = Pida primero al menos { $figure } de tierra sin piedras sobre el tubo

boundary-crosses =
    .message-tangle = El lindero se cruza o vuelve sobre sí mismo varias veces, una cerca de { $corner }.
    .title-tangle = El lindero está enredado
    .message-itself = { $what } se cruza o pasa sobre sí mismo cerca de { $corner }: { $figure } quedan dentro o fuera según se tome.
    .title-itself = { $what } se cruza consigo mismo
    .message-outside = { $figure } de { $what } quedan fuera del lindero, cerca de { $corner }, y aun así se restan del campo.
    .title-outside = { $what } sale del lindero
    .message-overlap = { $what } y { $other } se enciman cerca de { $corner }: { $figure } se restan dos veces del campo.
    .title-overlap = { $what } y { $other } se enciman
    .advice = Dibuje de nuevo el lindero, o vuelva a traerlo de su archivo.

box-holds-water =
    .message = La caja en { $name } en { $figure } dejaría { $figure-holds } de agua en el tubo.
    .title = Una caja retiene agua
    .remedy = Ponga la salida de la caja en { $figure } de { $name } a { $figure-level }

box-in-traffic =
    .message = La caja en { $name } en { $figure } está en un camino con la tapa a { $figure-lid } de hondo; debe ser { $figure-wanted }.
    .title = Una caja está en un camino
    .remedy = Ponga la tapa de la caja en { $figure } de { $name } a { $figure-down } de hondo

crosses-unjoined =
    .message = { $name-one } cruza { $name-other } en { $figure }, y nadie ha dicho si están unidas.
    .message-level = { $name-one } cruza { $name-other } en { $figure }, con los fondos al mismo nivel, y nadie ha dicho si están unidas.
    .message-apart = { $name-one } cruza { $name-other } en { $figure }, con { $figure-apart } entre los fondos, y nadie ha dicho si están unidas.
    .title = { $name-one } cruza { $name-other } sin unión
    .remedy = Indique que { $name-one } y { $name-other } se cruzan separadas
    .advice = Si deben unirse, termine una en la otra.

crossing-clearance =
    .message = Solo { $figure } entre { $name-one } y { $name-other } donde se cruzan en { $figure-at }; debe ser { $figure-wanted }.
    .message-into = { $name-one } y { $name-other } chocan donde se cruzan en { $figure-at }.
    .title = { $name-one } y { $name-other } se cruzan muy cerca

cut-untreated =
    .message = Se encontró un dren viejo en la zanja de { $name } en { $figure }, y nadie ha decidido qué hacer con el tubo cortado.
    .title = Dren viejo cortado en { $figure }
    .advice = Déjelo abierto y escoja qué hacer con él: las cinco opciones están junto al hallazgo.
    .message-cuts = { $name } corta el dren viejo { $name-old } en { $figure }, y nadie ha decidido qué hacer con el tubo cortado.
    .title-cut = El dren viejo { $name } queda cortado
    .remedy = Decida sobre el dren viejo { $name }: { $choice }

dam-or-levee =
    .message-crosses = { $name } cruza { $what } en { $figure }, que retiene agua; el agua puede arrastrar la tierra.
    .message-near = { $name } está a { $figure } de { $what } en { $figure-at }, que retiene agua; el agua puede arrastrar la tierra.
    .title = { $name } pasa cerca de un bordo que retiene agua
    .advice = Mande diseñar el cruce, y acéptelo con su nombre cuando esté listo.

differs-from-plan =
    .message = { $name } se colocó distinto al plan: { $what }.
    .title = { $name } se colocó con otro tubo que el del plan
    .advice = Anote por qué y quién estuvo de acuerdo, y ponga en el plan el tubo colocado: así se calcula de nuevo.

duplicate-line =
    .message = { $name-one } y { $name-two } van en una misma zanja por { $figure } ({ $name-one } { $place }).
    .title = { $name-one } y { $name-two } van en una misma zanja

duplicate-points =
    .message-one = 1 par de puntos difiere por { $figure }: { $names }.
    .message = { $figure } pares de puntos difieren hasta { $figure-most }: { $names }.
    .title = Puntos en un mismo lugar no coinciden

elsewhere =
    .message = { $file } dice estar en { $stated }; el plan tiene { $named }.
    .title = El plan y el terreno están en sistemas de coordenadas distintos
    .advice = Traiga el terreno sobre el que se hizo el plan; acéptelo con su nombre si se sabe que el archivo está mal.
    .message-none = Ninguna línea nueva queda sobre el terreno del plan.
    .message-away = Ninguna línea nueva queda sobre el terreno del plan; { $name } empieza a { $figure } de él.
    .title-places = El plan y el terreno son de lugares distintos
    .advice-places = Traiga el terreno de este campo, o dibuje las líneas sobre el terreno que hay.

enters-low =
    .title = { $name } entra muy bajo a { $name-main }
    .message = { $name } entra a { $name-main } { $figure } muy bajo.
    .remedy = Empiece { $name } en el centro de { $name-main }

first-flow =
    .message = No se anotó ningún flujo desde { $figure }, cuando terminó la excavación.
    .title = Nadie ha anotado cómo corren las salidas
    .advice = Revise las salidas después de llover y anote lo que corre.

flat-to-steep-no-vent =
    .message = { $name } aumenta su pendiente de { $figure } a { $figure-to } en { $figure-at }: puede hacer vacío.
    .title = { $name } aumenta su pendiente sin respiradero

flood-backwater =
    .message = En una creciente hasta { $figure } en { $name } los { $figure-stand } más bajos quedan llenos.
    .title = Una creciente regresa el agua desde { $name }
    .advice = Las crecientes cortas dañan poco; mantenga los laterales más arriba donde pueda.
    .message-unknown = No se puede decir hasta dónde regresa una creciente en { $name }: no se ha anotado su nivel de creciente.
    .title-unknown = No se conoce el nivel de creciente en { $name }
    .advice-unknown = Pregunte o busque marcas, y anote el nivel.

found-not-recorded =
    .message = A la línea vieja encontrada le falta { $lacks }.
    .message-at = A la línea vieja encontrada en { $figure } de { $name } le falta { $lacks }.
    .title = El hallazgo no está anotado
    .title-at = El hallazgo en { $figure } de { $name } no está anotado
    .advice = Anótelo mientras la zanja esté abierta.

grade-below-survey =
    .message = { $name } { $place } baja { $figure }, menos del doble del error del levantamiento, { $figure-error }.
    .message-one = { $name } { $place } baja { $figure }, menos del doble del error del levantamiento, { $figure-error }, igual que otro tramo.
    .message-more = { $name } { $place } baja { $figure }, menos del doble del error del levantamiento, { $figure-error }, igual que otros { $figure-more } tramos.
    .assumed = Ese error es supuesto: nadie ha comparado el lidar con niveles.
    .title = { $name } baja menos de lo que distingue el levantamiento
    .advice = Nivélela antes de excavar: puntos sobre la línea, a no más de { $figure } entre sí.

grade-change =
    .remedy = Ponga { $structure } en { $name } en { $places }

grade-eases-downstream =
    .message = { $name } pierde pendiente de { $figure } a { $figure-to } en { $figure-at }; ahí se asentará el limo.
    .title = { $name } pierde pendiente aguas abajo

ground-unread =
    .message = { $file }, el terreno de este plan, no se leyó: no se conocen profundidad, cobertura, bajos ni el área que drena, y solo valen los niveles fijados.
    .title = El terreno no se leyó
    .advice = Ponga el archivo donde lo nombra el plan, o vuelva a traer el terreno.
    .message-left = { $file } se deja fuera: { $why }. Sin sus niveles el terreno es otro.
    .title-file = { $file } no se leyó
    .advice-left = Ponga el archivo donde lo nombra el plan, o quítelo del levantamiento.

hand-dig =
    .message-one = 1 lugar para excavar a mano, { $figure } a cada lado de la marca.
    .message = { $figure-count } lugares para excavar a mano, { $figure } a cada lado de la marca.
    .title = Excave a mano en las líneas enterradas
    .advice = Avise a la cuadrilla; las hojas los muestran.

hedge =
    .message = { $figure } de { $name } van a lo largo de { $what } de { $figure-from } a { $figure-to }.
    .message-at = { $figure } de { $name } van a lo largo de { $what } en { $figure-at }.
    .title = { $name } va junto a un seto

high-drop =
    .message = { $name } cae { $figure } donde se une a { $name-main }.
    .title = { $name } entra a { $name-main } desde muy arriba
    .remedy = Ponga un codo de bajada al final de { $name }

inlet-blowout-silt =
    .message-both = La toma abierta en { $figure } de { $name-line } puede sobrecargar y azolvar { $name }.
    .message-overload = La toma abierta en { $figure } de { $name-line } puede sobrecargar { $name }.
    .message-silt = La toma abierta en { $figure } de { $name-line } puede azolvar { $name }.
    .message-here-both = La toma abierta en { $figure } puede sobrecargar y azolvar { $name }.
    .message-here-overload = La toma abierta en { $figure } puede sobrecargar { $name }.
    .message-here-silt = La toma abierta en { $figure } puede azolvar { $name }.
    .title = Una toma puede dañar { $name }
    .remedy-both = Ponga un orificio y una trampa en { $figure } de { $name }
    .remedy-orifice = Ponga un orificio en { $figure } de { $name }
    .remedy-trap = Ponga una trampa en { $figure } de { $name }
    .remedy-riser = Use una toma vertical de { $figure-size } y una trampa en { $figure } de { $name }

inlet-not-sized =
    .message = La toma abierta de { $name } en { $figure } trae agua de tormenta de { $figure-area }, contada con { $figure-counted }; debe ser { $figure-wanted }.
    .title = Una toma de { $name } está calculada para agua del suelo
    .remedy-count = Cuente { $figure } en la toma en { $figure-at } de { $name }
    .remedy-blind = Haga ciega la toma en { $figure } de { $name }

interceptor-off-layer =
    .message-below = { $name } queda { $figure } debajo de la parte alta de la capa apretada en { $figure-at }.
    .message-only = { $name } entra solo { $figure } en la capa apretada en { $figure-at }, debe entrar { $figure-wanted }.
    .message-above = { $name } queda { $figure } encima de la capa apretada en { $figure-at }, debe entrar { $figure-wanted }.
    .message-pass = { $name } queda { $figure } encima de la capa apretada en { $figure-at }; el agua puede pasar por debajo.
    .title = { $name } no está en la capa apretada
    .remedy-into = Mantenga { $name } { $figure } dentro de la capa apretada
    .remedy-on = Mantenga { $name } sobre la capa apretada

irrigation-depth =
    .message = { $name } cruza { $what } de profundidad desconocida en { $figure }.
    .title = { $name } cruza una línea principal de riego
    .advice = Averigüe a qué profundidad está, y anótelo.

join-unknown-tile =
    .message = No se conoce el estado del dren viejo { $name }, y { $names } se une a él.
    .message-are = No se conoce el estado del dren viejo { $name }, y { $names } se unen a él.
    .title = Nadie ha revisado por dentro el dren viejo { $name }
    .advice = Revise por dentro antes de unir, y anote su estado.

joint-against-flow =
    .message = { $name } apunta { $figure } contra la corriente de { $name-main }.
    .title = { $name } entra a { $name-main } contra la corriente
    .remedy = Gire el extremo de { $name } aguas abajo hacia una ye

lane-crossing =
    .message = { $name } cruza { $what } de { $figure } a { $figure-to }, camino público, sin permiso de la autoridad de caminos.
    .title-permission = { $name } cruza { $what } sin permiso
    .advice = Pida permiso a la autoridad de caminos, y anótelo.
    .message-weak = { $name } cruza { $what } de { $figure } a { $figure-to } con tubo que no es sin perforar y reforzado.
    .title = { $name } cruza { $what }

level-reach =
    .message = { $name } va casi a nivel { $place }: { $figure } donde el tubo necesita { $figure-wanted }.
    .title = { $name } va casi a nivel

levels =
    .unlock-all = Suelte los { $figure } niveles fijados de { $name }
    .unlock = Suelte el nivel en { $figure } de { $name }
    .raise-level = Suba el nivel en { $figure } de { $name } en { $figure-by }
    .lower-level = Baje el nivel en { $figure } de { $name } en { $figure-by }
    .raise-levels = Suba los { $figure-count } niveles fijados de { $figure } a { $figure-to } de { $name } en { $figure-by }
    .lower-levels = Baje los { $figure-count } niveles fijados de { $figure } a { $figure-to } de { $name } en { $figure-by }
    .release-grade = Suelte la pendiente fijada de { $figure } a { $figure-to } de { $name }
    .release-depth = Suelte la profundidad fijada de { $figure } a { $figure-to } de { $name }
    .raise = Suba { $name } en { $figure }
    .lower = Baje { $name } en { $figure }
    .free = Deje que el programa escoja el fondo de { $name }

line-gap =
    .message-ends = { $what } termina en { $name-other } sin unirse.
    .message-stops = { $what } se queda { $figure } antes de { $name-other }.
    .title = { $name } no está unida a { $name-other }
    .title-close = { $name } termina cerca de { $name-other }
    .remedy = Una { $name } a { $name-other }
    .advice = Si las dos van juntas, dibújelas como una línea o únalas.

long-main-no-vent =
    .message = { $figure } de { $name } no tiene respiradero; debe haber uno cada { $figure-limit }.
    .title = { $name } es muy larga sin respiradero

loop-closure =
    .message = El circuito de nivelación { $name } cierra con error de { $figure } en { $figure-over }; se permite { $figure-allowed }.
    .title = El circuito de nivelación { $name } no cierra
    .advice = Repítalo o ajústelo, y anote el nivel que resulte.

low-coefficient =
    .message = { $figure } está debajo de lo usual, { $usual }, para { $soil }.
    .title = El coeficiente de drenaje es bajo
    .remedy = Use un coeficiente de drenaje de { $figure }

low-water-unknown =
    .message = El nivel de { $name } es una suposición hasta que se mida el nivel bajo del agua.
    .title = No se conoce el nivel bajo del agua en { $name }
    .advice = Mídalo en la temporada húmeda y anótelo.

main-in-waterway =
    .message = { $figure } de { $name } quedan donde el cauce se erosiona.
    .title = { $name } queda en el cauce

many-breaks =
    .message = El operador debe cambiar de pendiente { $figure } veces en { $figure-length } de { $name }.
    .title = { $name } cambia mucho de pendiente

mixed-datum =
    .message-both = Se usan a la vez { $what } y { $other }.
    .message = Se usan { $what }.
    .title = Los niveles parten de dos datums
    .advice = Lleve todos los niveles a uno de ellos, y anótelo en cada uno.

must-be-solid =
    .message = { $name } debe ser sin perforar { $place } y ahí está perforada.
    .title = { $name } está perforada donde debe ser sin perforar
    .remedy = Retire que { $name } debe ser sin perforar { $place }

near-wetland =
    .message-plugs = { $name } pasa { $what } con tubo sin perforar y sin tapones de arcilla { $place }; el agua puede correr por la zanja.
    .title-plugs = { $name } pasa { $what } sin tapones
    .message-within = { $figure } de { $name } pueden drenar { $what }: quedan dentro de su distancia de protección de { $figure-setback }.
    .message-near = { $figure } de { $name } pueden drenar { $what }: quedan cerca y no se ha anotado distancia de protección.
    .advice = Consiga el dictamen, y anote la distancia de protección.
    .title = { $name } puede drenar { $what }
    .effect = Con { $soil } baja el manto freático { $figure } en { $figure-days } días hasta unos { $figure-about } ({ $figure-from } a { $figure-to }): estimación según van Schilfgaarde, no es un dictamen.
    .remedy = Ponga tapones de arcilla en los extremos del tubo sin perforar de { $name } { $place }

nearly-full =
    .message = { $name } va hasta { $figure } lleno, { $place } ({ $figure-share } de { $figure-of }): no queda lugar para otra conexión.
    .title = { $name } va casi lleno

neighbour-effect =
    .title = Drenes cerca del lindero de un vecino
    .advice = Pregunte al vecino, y anote que estuvo de acuerdo.
    .title-own = Drenes cerca del lindero
    .advice-own = Marque el lado del vecino, y anote que estuvo de acuerdo.
    .message = { $figure } de tubo pueden bajar el agua al otro lado del lindero.

no-animal-guard =
    .message = { $name } está abierta a los animales.
    .title = { $name } no tiene reja
    .remedy = Ponga una reja que abra en { $name }

no-area =
    .message = Nada está puesto a drenar hacia { $name }.
    .title = Ningún terreno drena hacia { $name }
    .remedy = Deje que { $name } drene la franja a su lado
    .remedy-carrier = Haga que { $name } solo conduzca
    .advice = Si drena terreno propio, anote el área.

no-end-cap =
    .message = El extremo de arriba de { $name } está abierto y va a entrar tierra.
    .title = El extremo de arriba de { $name } está abierto
    .remedy = Ponga otra vez el tapón en { $name }

no-ground =
    .message = { $figure } de { $name } quedan sobre terreno desconocido, { $places }.
    .advice = Traiga terreno que llegue hasta ahí, o niveles tomados ahí, o mantenga la línea sobre el terreno.
    .advice-none = Traiga el terreno.
    .title = { $name } queda sobre terreno desconocido

no-outlet =
    .message = { $name } no llega a ningún lado.
    .message-one = { $name } no llega a ningún lado, y una línea drena hacia ella.
    .message-more = { $name } no llega a ningún lado, y { $figure } líneas drenan hacia ella.
    .title = { $name } no llega a ningún lado
    .advice = Ponga una salida en su extremo de abajo, o únala a una línea que tenga una.
    .message-old = { $names } drena al dren viejo { $name }; no se conoce su salida.
    .message-old-more = { $names } drenan al dren viejo { $name }; no se conoce su salida.
    .title-old = Nadie sabe dónde sale el dren viejo { $name }
    .advice-old = Busque dónde sale { $name }, ponga esa salida y una { $name } a ella; o una el tubo nuevo solo a una línea que tenga salida.

no-soil-data =
    .message-one = 1 línea no tiene datos de suelo: nadie ha hecho una calicata.
    .message = { $figure } líneas no tienen datos de suelo: nadie ha hecho una calicata.
    .title = Una red de laterales sin calicata
    .advice = Haga una calicata antes de comprar tubo, y anote lo que muestre.

off-design =
    .message = { $name } queda { $figure } { $side } del plan en { $figure-at }: { $figure-found } en vez de { $figure-planned }; se permite { $figure-limit }.
    .title = { $name } no se colocó según el plan en { $figure }
    .advice = Vuelva a colocarlo y mídalo otra vez, o acéptelo y recalcule lo que falta por excavar.

off-swale =
    .message = El bajo está hasta { $figure } hacia { $side } de { $name }, { $place }.
    .title = { $name } no pasa por el bajo

old-tile-as-main =
    .message-one = Una línea nueva descarga en el tubo viejo de { $what } { $name }.
    .message = { $figure } líneas nuevas descargan en el tubo viejo de { $what } { $name }.
    .poor = Un tubo viejo de { $what } es mal colector.
    .title = El tubo viejo de { $what } { $name } sirve de colector
    .advice = Dibuje un colector nuevo a su lado, y una ahí las líneas nuevas.

old-tile-low =
    .message = { $name-old } quedaría { $figure } debajo del centro de { $name }.
    .title = El dren viejo { $name-old } entra muy bajo a { $name }
    .remedy = Puentee { $name } y no lo una

old-tile-uncounted =
    .message = { $name-old } se une a { $name } y drena un área desconocida.
    .title = El agua de { $name } no está contada
    .advice = Estímela, y anótela con el dren viejo.

on-ridge =
    .message = { $name } va por terreno alto { $place }: ahí llega poca agua.
    .title = { $name } queda sobre un lomo

one-benchmark =
    .title-none = Sin banco de nivel
    .message-none = No hay banco de nivel.
    .title = Un solo banco de nivel
    .message = Hay un solo banco de nivel.
    .advice-none = Ponga dos que aguanten la excavación, y anótelos con sus niveles.
    .advice = Ponga otro que aguante la excavación, y anótelo con su nivel.

opposite-laterals =
    .message-one = Un par de laterales entra a { $name } uno frente al otro.
    .message = { $figure } pares de laterales entran a { $name } uno frente al otro.
    .title = Laterales de frente en { $name }
    .remedy-up = Mueva el extremo de { $names } { $figure } hacia arriba de { $name }
    .remedy-down = Mueva el extremo de { $names } { $figure } hacia abajo de { $name }
    .remedy-ends-up = Mueva los extremos de { $names } { $figure } hacia arriba de { $name }
    .remedy-ends-down = Mueva los extremos de { $names } { $figure } hacia abajo de { $name }

other-trees =
    .message = { $figure } de { $name } quedan a menos de { $figure-near } de { $what }, { $place }.
    .title = { $name } pasa cerca de { $what }
    .advice = Si se tala { $what }, borre su marca.

outlet-against-current =
    .message-angle = { $name } apunta { $figure } fuera de la corriente del canal, aguas arriba: socavación y hielo.
    .message-bend = { $name } está en la parte de afuera de una curva: socavación y hielo.
    .title = { $name } da a la corriente
    .remedy = Proteja el talud en { $name } con piedra

outlet-consent =
    .message = El dueño de { $what } en { $name } debe dar antes su permiso por escrito.
    .advice = Pídalo, y anote el permiso.
    .message-whose = Nadie ha dicho de quién es { $what } en { $name }.
    .advice-whose = Averigüe, y anote que es suyo, o el permiso del dueño.
    .title = Sin permiso para { $name }

outlet-freeboard =
    .message-above = { $name } queda solo { $figure } arriba de { $water }; debe ser { $figure-wanted }.
    .message-below = { $name } queda { $figure } debajo de { $water }; debe ser { $figure-wanted }.
    .message-level = { $name } queda al nivel de { $water }; debe ser { $figure-wanted }.
    .message-above-over = { $name } queda solo { $figure } arriba de { $water }; debe ser { $wanted }.
    .title = La salida { $name } está muy baja
    .advice = También sirve limpiar el canal hasta que { $name } quede { $figure } arriba de él: anote entonces sus niveles.
    .remedy-lock = Fije el fondo de { $name } en { $figure }

outlet-not-described =
    .message = { $names } no tiene descripción.
    .message-more = { $names } no tienen descripción.
    .title = Salida sin foto
    .advice = Tome foto y marque el lugar, y anote el nombre de la foto.

outlet-off-ground =
    .message = { $name } queda donde no se conoce el terreno.
    .title = { $name } queda fuera del terreno
    .advice = Traiga terreno que llegue hasta ahí, o mueva la salida a donde el tubo sale.

outlet-overhang =
    .message = { $figure } de { $figure-of } de tubo cuelgan en el aire en { $name }; no debe ser más de { $figure-wanted }.
    .title = { $name } sobresale demasiado
    .remedy-hang = Que no cuelguen más de { $figure } en el aire en { $name }
    .remedy = Use { $figure } de tubo sin perforar en { $name }

outlet-pipe-short =
    .message = El último tubo sin perforar en { $name } mide { $figure }; debe medir { $figure-wanted }.
    .title = El tubo de salida en { $name } es corto

outlet-pipe-soft =
    .message = El último tubo en { $name } no es rígido y sin perforar.
    .title = { $name } termina en tubo flexible
    .remedy = Haga los últimos { $figure } en { $name } de tubo rígido y sin perforar

outlet-without-line =
    .message = La salida { $name } no tiene línea.
    .title = Ninguna línea explica { $name }
    .remedy = Borre la salida { $name }
    .advice = Rastréela (cámara, colorante), y dibuje la línea que llega a ella.

outlier-point =
    .title-many = { $figure } de { $figure-shots } puntos se salen
    .message-many = { $figure } de { $figure-shots } puntos se salen, hasta { $figure-by }; los peores son { $names }. Tantos no son errores del estadal.
    .advice = Revise cómo se tomaron: árboles, señal perdida, máquina en movimiento.
    .message-above = El punto { $name } queda { $figure } arriba de sus vecinos, que ajustan a su plano con { $figure-within }. ¿Error del estadal o del lápiz?
    .message-below = El punto { $name } queda { $figure } debajo de sus vecinos, que ajustan a su plano con { $figure-within }. ¿Error del estadal o del lápiz?
    .message-slip-above = El punto { $name } queda { $figure } arriba de sus vecinos, que ajustan a su plano con { $figure-within }. ¿Error del estadal de { $figure-slip }?
    .message-slip-below = El punto { $name } queda { $figure } debajo de sus vecinos, que ajustan a su plano con { $figure-within }. ¿Error del estadal de { $figure-slip }?
    .title = El punto { $name } se sale

over-boundary =
    .message = { $figure } de { $name } { $place } quedan fuera del lindero.
    .title = { $name } sale del campo
    .advice = Consiga el permiso del dueño, y anótelo en { $name }.
    .advice-easement = Consiga una servidumbre por escrito, y acéptelo con su nombre cuando la tenga.

over-capacity =
    .message = { $name } { $place } va hasta { $figure } lleno: { $figure-wants } donde tubo de { $figure-pipe } con { $figure-grade } lleva { $figure-carries }.
    .seeps = No drena terreno propio: lo que entra por su extremo de arriba corre por todo el tubo.
    .stands = El agua subiría { $figure } sobre el terreno en { $figure-at }.
    .pressure = { $figure } de él correrían a presión.
    .title = { $name } no puede llevar su agua
    .message-old = { $name } recibe hasta { $figure } { $place } y lleva entre { $figure-low } y { $figure-high }, según su tamaño, sus dos niveles y su estado.
    .title-old = El dren viejo { $name } puede ser muy chico
    .advice-old = Revise por dentro y anote el estado de { $name }, o coloque tubo nuevo a su lado y una ese.

overhead-line =
    .message-near = { $what } está a { $figure } de donde trabaja la pluma en { $figure-at } de { $name }.
    .message-over = { $what } cuelga sobre donde trabaja la pluma en { $figure-at } de { $name }.
    .title = Línea eléctrica en { $name }
    .advice = Que su dueño la desconecte y la aterrice, o acuerde con el dueño un vigía y una distancia, y acéptelo con su nombre.

pipe =
    .lay-solid = Coloque tubo sin perforar { $places }
    .lay-heavy = Coloque tubo sin perforar y reforzado { $places }
    .lay-plugs = Coloque tubo sin perforar con tapones de arcilla { $places }
    .lay-heavy-plugs = Coloque tubo sin perforar y reforzado con tapones de arcilla { $places }
    .both = { $deed } y coloque tubo sin perforar { $places }
    .size = Use { $figure } para { $names }
    .size-flow = Deje que el caudal decida el tamaño de { $name }
    .smooth = Use tubo de pared lisa para { $name }
    .hold = Mantenga { $figure } de { $figure-from } a { $figure-to } de { $name }
    .follow = Deje que { $name } siga el terreno a { $figure } de { $figure-from } a { $figure-to }

pipe-too-small =
    .message = { $name } es de { $figure }; el tubo más chico es de { $figure-least }.
    .title = { $name } es un tubo muy chico

plain-slots-silt =
    .message = { $figure } quedan en { $texture } con ranuras comunes.
    .title = Ranuras comunes en suelo que se mete
    .remedy-sock = Use funda de tela en { $names }
    .remedy-narrow = Use ranuras angostas en { $names }
    .remedy-stone = Use { $figure } de arena o grava alrededor del tubo en { $names }

plug-live-tile =
    .message-beyond = Se va a taponar el dren viejo { $name }, pero le llega agua de fuera del lindero. El agua de otra persona puede depender de él.
    .message-runs = Se va a taponar el dren viejo { $name }, pero lleva agua. El agua de otra persona puede depender de él.
    .title = El dren viejo { $name } lleva agua

post-or-anchor =
    .message = El poste final en { $figure } de { $name } alcanzaría el tubo, que queda { $figure-high } muy alto para él.
    .message-more = El poste final en { $figure } de { $name } y { $figure-more } más alcanzarían el tubo, que queda { $figure-high } muy alto para ellos.
    .title = Los postes de { $what } alcanzan { $name }

private-lines =
    .message = El servicio de localización no marca las líneas propias de la finca.
    .advice = Pregunte al agricultor, y márquelo en los datos: { $what }.
    .title = No se preguntó por las líneas propias de la finca

pump-incomplete =
    .message = A la salida con bomba { $name } le falta { $lacks }.
    .title = La bomba en { $name } no está completa
    .advice = Planéelo, y anote que está.

receiving-pipe-backwater =
    .message = { $name } queda { $figure } debajo de la clave del tubo receptor y se llena cuando ese se llena.
    .title = { $name } queda en el agua del tubo receptor
    .advice = Si no hace daño, anótelo.

receiving-pipe-small =
    .title = El tubo en { $name } puede ser muy chico
    .message-unknown = Nadie ha dicho cuánto puede recibir todavía el tubo en { $name }; usted lleva { $figure }.
    .advice-unknown = Mida cuánto puede recibir, y anótelo.
    .message = El tubo en { $name } puede recibir { $figure } más; usted lleva { $figure-brings }.
    .advice = Mándelo agrandar o medir otra vez, y anote cuánto puede recibir.

record-incomplete =
    .message = Al registro de { $name } le falta { $lacks }.
    .title = El registro de { $name } no está completo
    .advice = Mídalo y anótelo antes del pago final.

replacement-small =
    .message = { $name } de { $figure } lleva menos que el dren viejo { $name-old } de { $figure-old }.
    .message-wall = { $name } con tubo corrugado de { $figure } lleva menos que el dren viejo { $name-old } de { $figure-old } de { $material }.
    .message-wall-name = { $name } con tubo corrugado de { $figure } lleva menos que el dren viejo { $name-old } de { $figure-old }.
    .title = { $name } reemplaza una línea más grande

reverse-as-built =
    .message = Como quedó, { $name } baja al revés { $figure } entre { $figure-low } y { $figure-lip }; quedarán { $figure-water } de agua ({ $figure-percent } del diámetro), a lo largo de { $figure-length }.
    .advice = Lávelo y obsérvelo, o vuelva a colocarlo desde { $figure } y mídalo otra vez.
    .advice-open = Vuelva a colocarlo desde { $figure } con la zanja abierta, y mídalo otra vez.
    .title = { $name } quedó con un columpio en { $figure }

ripper-depth =
    .message = El subsuelo alcanza { $figure }, la parte alta de { $name } está a { $figure-top } en { $figure-at }; debe ser { $figure-wanted }.
    .title = El subsuelo alcanza { $name }
    .remedy = Pase el subsuelo antes de colocar el tubo
    .remedy-depth = No pase el subsuelo a más de { $figure }

row-multiple =
    .message = El espaciamiento de { $name } desde { $name-on } es de { $figure } hileras.
    .message-from = El espaciamiento de { $what } desde { $name } es de { $figure } hileras.
    .message-lines = El espaciamiento de { $figure } desde { $figure-on } es de { $figure-rows } hileras.
    .advice = Dibuje otra vez los laterales a { $figure } o { $figure-or }.
    .title = El espaciamiento no es un número entero de hileras

run-on =
    .message = { $figure } de terreno de afuera drenan hacia el bloque.
    .title = Entra agua de afuera al bloque
    .advice = Desvíela o cuéntela, y dígalo en los datos.

shape =
    .trim-back = Recorte { $name } hasta { $figure }
    .trim-off = Recorte { $figure } del extremo de arriba de { $name }
    .move = Mueva { $name } { $figure } hacia { $compass }

sharp-bend =
    .message = { $name } gira { $figure } en { $figure-at }, más de { $figure-limit } en un punto.
    .title = { $name } dobla muy cerrado
    .remedy = Dibuje la vuelta en { $figure } de { $name } como curva abierta

short-stub =
    .message = { $name } mide solo { $figure }: muchas veces es un resto del dibujo.
    .title = { $name } es un ramal muy corto
    .remedy = Borre { $name }
    .remedy-outlet = Borre { $name } y la salida { $name-outlet }

site-flags =
    .message = { $what } está marcado en este sitio, y nadie ha anotado lo que dijo la autoridad o el ingeniero.
    .title = Nadie ha respondido sobre { $what }
    .advice = Pregunte, y anote lo que se dijo.

smaller-downstream =
    .message = { $name } pasa de { $figure } a { $figure-narrow } aguas abajo en { $figure-at }.
    .title = { $name } se hace más chico aguas abajo
    .message-joins = { $name } debajo de { $figure-at } debe ser al menos de { $figure }: es de { $figure-is } y { $name-branch } trae { $figure }.
    .title-joins = { $name } es más chico que lo que drena hacia él

sock-in-iron =
    .message = El limo de hierro puede tapar una funda de tela fina.
    .title = Funda de tela donde se vio hierro
    .remedy-stone = Use { $figure } de arena o grava alrededor de { $name }
    .remedy = No use funda de tela en { $name }

spacing-close =
    .message = Los laterales desde { $name } están a { $figure }, unos { $figure-would } bastarían: { $figure-more } de tubo de más.
    .message-rows = Los laterales desde { $name } están a { $figure }, unos { $rows } bastarían: { $figure-more } de tubo de más.
    .advice = Dibújelos otra vez a { $what }.
    .title = Los laterales están más juntos de lo necesario

spacing-wide =
    .message = Los laterales desde { $name } están a { $figure }, al suelo le van unos { $rows }.
    .message-known = Los laterales desde { $name } están a { $figure }, al suelo le van unos { $rows } ({ $figure-low } a { $figure-high } según lo que se sabe).
    .stands = El manto freático entre drenes quedaría { $depth }, meta { $figure }.
    .title = Los laterales están demasiado separados

spring-missed =
    .message = { $what } queda a { $figure } de { $name } en { $figure-at }.
    .title = Un manantial no está captado
    .remedy = Dibuje { $name } desde { $name-from } en { $figure } hasta el manantial

square-tee-roots =
    .message-one = Hay una te recta donde puede haber raíces; una ye atrapa menos.
    .message = Hay { $figure } tes rectas donde puede haber raíces; las yes atrapan menos.
    .title = Tes rectas donde puede haber raíces
    .remedy = Gire el extremo de { $names } aguas abajo hacia una ye
    .remedy-ends = Gire los extremos de { $names } aguas abajo hacia yes

stale-survey =
    .message-one = El terreno se movió el { $figure }, después de tomar la serie { $what }.
    .message = El terreno se movió el { $figure }, después de tomar las series { $what }.
    .title = El terreno cambió después del levantamiento
    .advice = Mida otra vez la parte que cambió, y deje fuera lo que reemplaza.

steep-pipe-washout =
    .message = { $name } baja { $figure } { $place }; el agua puede correr por la zanja y deslavarla.
    .title = { $name } tiene mucha pendiente
    .remedy = Ponga rompecorrientes o anclas en la zanja de { $name }

steep-to-flat-no-relief =
    .message = { $name } pasa de { $figure } a { $figure-to } en { $figure-at }: ahí el agua puede regresar y reventar el terreno.
    .title = { $name } pasa de mucha a poca pendiente

survey-gap =
    .message = Sin niveles en { $figure } de { $name }, { $place }.
    .title = Sin niveles en { $figure } de { $name }
    .title-name = { $name } sin niveles
    .advice = Tome puntos ahí, a no más de { $figure } entre sí, y agréguelos.

suspected-tile =
    .message = El dren viejo { $name } puede estar cerca de { $name-near } { $place }.
    .message-one = El dren viejo { $name } puede estar cerca de { $name-near } { $place } y en otro lugar.
    .message-more = El dren viejo { $name } puede estar cerca de { $name-near } { $place } y en { $figure } lugares más.
    .title = El dren viejo { $name } puede estorbar
    .advice = Vaya despacio y observe; marque { $name } como visto cuando se encuentre, o bórrelo si no está.

swale-no-pipe =
    .message = { $figure } de un bajo con { $figure-area } detrás no tienen dren a menos de { $figure-near }.
    .message-parts = { $figure } de un bajo en { $figure-parts } partes con hasta { $figure-area } detrás no tienen dren a menos de { $figure-near }.
    .title = Un bajo sin dren
    .advice = Dibuje un dren a lo largo, dibuje el canal si lo es, o márquelo como área húmeda que se deja así.
    .message-hollow = Una hondonada cerrada de { $figure }, de { $figure-deep } de hondo, no tiene línea.
    .title-hollow = Hondonada cerrada sin línea
    .advice-hollow = Dibuje un dren o ponga una toma en ella, o márquela como área húmeda que se deja así.
    .message-small = Un bajo pequeño no tiene línea.
    .message-smalls = { $figure } bajos pequeños no tienen línea.
    .title-small = Bajos pequeños sin línea
    .advice-small = Dibuje un dren a lo largo de cada uno, o márquelos como áreas húmedas que se dejan así.

thin-cover =
    .message = Solo { $figure } de tierra sobre el tubo de { $name } en { $figure-at }; debe ser { $figure-wanted }.
    .message-out = El tubo de { $name } sale del terreno { $figure } en { $figure-at }.
    .title = Poca tierra sobre { $name }

thin-cover-as-built =
    .message = Como quedó, { $name } tiene { $figure } de tierra sobre su tubo en { $figure-at }; debe ser { $figure-wanted }.
    .message-none = Como quedó, { $name } tiene { $cover } de tierra sobre su tubo en { $figure-at }; debe ser { $figure-wanted }.
    .title = Poca tierra sobre { $name } como quedó
    .advice = Agregue tierra, vuelva a colocarlo más hondo, o coloque tubo sin perforar y reforzado y márquelo así.

thin-cover-peat =
    .message-unknown = { $name } queda en suelo orgánico y nadie ha dicho cuánto se va a asentar.
    .title-unknown = { $name } queda en turba
    .advice = Anote cuánto se va a asentar.
    .message-left = La turba va a encoger { $figure }; quedarían { $figure-left } sobre { $name } en { $figure-at }, debe ser { $figure-wanted }.
    .message-out = La turba va a encoger { $figure }; { $name } quedaría { $figure-out } fuera del terreno en { $figure-at }.
    .title = La turba va a descubrir { $name }

thin-cover-traffic =
    .message = Las ruedas cruzan { $name } en { $what } en { $figure } con { $cover }; debe ser { $figure-wanted }.
    .title = Las ruedas cruzan { $name } donde está poco hondo
    .remedy = Use en { $name } tubo clasificado para la carga

thin-envelope =
    .message = { $name } tiene { $figure } de filtro; debe tener { $figure-wanted } todo alrededor.
    .title = El filtro de { $name } es delgado
    .remedy = Use { $figure } de filtro alrededor de { $name }

tight-at-pipe =
    .message-interceptor = { $name } queda en su capa apretada { $place }, a { $figure } de hondo, como un interceptor: lo que llega por encima de la capa solo lo alcanza a través de piedra.
    .message = El agua no puede llegar a { $name } { $place }, a { $figure } de hondo: la calicata muestra ahí suelo apretado.
    .title = { $name } queda en suelo apretado
    .remedy = Rellene la zanja de { $name } con piedra

too-deep-for-wall =
    .message-maker = La zanja de { $name } tiene { $figure } de hondo en { $figure-at }, más que lo del fabricante, { $figure-allowed }, en zanja de { $figure-wide } de ancho.
    .message-guide = La zanja de { $name } tiene { $figure } de hondo en { $figure-at }, más que lo de la guía, { $figure-allowed }, en zanja de { $figure-wide } de ancho.
    .title = { $name } queda muy hondo para su pared
    .advice = Pregunte al fabricante, y anote su valor si es mayor.
    .remedy = Excave una zanja de no más de { $figure } de ancho

too-fast =
    .message = Velocidad a tubo lleno { $figure } en { $name }, límite { $figure-limit } en { $texture }.
    .title = { $name } corre demasiado rápido para su suelo

trench-five-feet =
    .message = De { $figure } a { $figure-to } la zanja de { $name } tiene hasta { $figure-deep } de hondo. Hasta que tenga taludes, apuntalamiento o caja de zanja, nadie puede entrar.
    .title = Nadie puede entrar a la zanja abierta de { $name }
    .advice = Planee la protección, y acéptelo con su nombre cuando esté planeada.

trench-four-feet =
    .message = { $figure } de zanja tienen de { $figure-from } a { $figure-to } { $unit } de hondo.
    .advice = Tenga escalera o rampa a no más de { $figure } de quien esté adentro; una persona competente revisa si hay señales de derrumbe; la arena mojada necesita soporte de inmediato.
    .title = Zanja de { $figure } o más honda

trench-twenty-feet =
    .message = La zanja de { $name } tiene { $figure } de hondo en { $figure-at }: a más de { $figure-limit } un ingeniero diseña la protección.
    .title = La zanja de { $name } necesita un ingeniero
    .advice = Mande hacer el diseño, y acéptelo con su nombre cuando esté hecho.

under-ditch =
    .message = { $name } pasa debajo de { $what } en { $figure } con { $cover }.
    .title = { $name } pasa debajo de un canal

under-guide-depth =
    .message = { $name } en { $figure } tiene { $figure-deep } de hondo, menos que la guía, { $figure-guide }.
    .title = { $name } está poco hondo para raíces profundas
    .remedy = Deje la guía para raíces profundas, como en suelo húmedo o delgado

under-row =
    .message = { $figure } de { $name } quedan debajo de una hilera, { $place }.
    .title = { $name } queda debajo de una hilera

under-target-depth =
    .message = { $figure } de { $name } queda hasta { $figure-up } menos hondo de lo deseado; drena menos hacia los lados.
    .title = { $name } está menos hondo de lo deseado

unit-mix =
    .message = La serie { $name } parece estar en { $units } entre { $among }: su nivel medio dice { $figure }, el del terreno o de las otras { $figure-others }, y { $figure-one } ÷ { $figure-two } da { $figure-is }, cerca de los 3.28 pies de un metro.
    .title = ¿La serie { $name } está en { $units }?

utilities =
    .advice = Descúbralo a mano, y anote quién lo vio, cuándo, y los niveles de su parte de arriba y de abajo; entonces la línea pasa sola por arriba o por abajo.

utility-clearance =
    .message = Solo { $figure } entre { $name } y { $what } en { $figure-at }; debe ser { $figure-wanted }.
    .message-none = No hay espacio entre { $name } y { $what } en { $figure-at }; debe ser { $figure-wanted }.
    .title = { $what } está demasiado cerca
    .advice = Pregunte al dueño, y anote la distancia libre que pide.
    .told = { $name } cruza { $what } en { $figure }, a { $figure-clear } según la profundidad que se dijo: nadie lo ha descubierto ahí.
    .told-only = Solo { $figure } entre { $name } y { $what } en { $figure-at }; debe ser { $figure-wanted } según la profundidad que se dijo: nadie lo ha descubierto ahí.
    .told-none = No hay espacio entre { $name } y { $what } en { $figure-at }; debe ser { $figure-wanted } según la profundidad que se dijo: nadie lo ha descubierto ahí.
    .not-told = { $name } cruza { $what } en { $figure }: nadie lo ha descubierto ahí.
    .title-exposed = No se ha descubierto { $what }
    .remedy-over = Pase por arriba de { $what } en { $figure } de { $name }
    .remedy-under = Pase por debajo de { $what } en { $figure } de { $name }

utility-depth-unknown =
    .message = { $name } cruza { $what } en { $figure } y no se conoce su profundidad.
    .title = Nadie sabe a qué profundidad está { $what }
    .message-beside = { $figure } de { $name } van junto a { $what }, { $place }.
    .title-beside = { $name } va junto a { $what }
    .advice = Acuerde con el dueño cómo se excava, y acéptelo con su nombre.

utility-no-ticket =
    .message-none = { $name } cruza { $what } en { $figure }: no hay boleto de localización.
    .message-ended = { $name } cruza { $what } en { $figure }: el boleto de localización venció el { $figure-day }.
    .title = No hay permiso para excavar junto a { $what }
    .advice = Pida que se marquen (2–3 días hábiles) y anote el boleto y su último día.

water-loop =
    .message = { $names } drenan unas a otras en círculo; el agua nunca sale.
    .title = { $name } drena en círculo
    .advice = Dé una salida a una de ellas, o únala a una línea fuera del círculo.
    .message-two = El agua tiene dos caminos en { $figure } de { $name }: su extremo de arriba queda sobre { $name-other } y los dos llevan al mismo lugar.
    .title-two = { $name } y { $name-other } hacen un círculo

well-or-septic =
    .message = { $what } está a { $figure } de { $name }; la regla local pide { $figure-keep }.
    .message-unknown = { $what } está a { $figure } de { $name }, y no se ha anotado la distancia local.
    .advice = Pregunte la distancia local, y anótela.

wet-no-cause =
    .message = Nadie ha dicho por qué { $names } está mojada.
    .message-are = Nadie ha dicho por qué { $names } están mojadas.
    .title = Nadie ha dicho por qué está mojado
    .advice = Escoja una causa para cada una, o "desconocida" si ya se preguntó.

wet-not-served =
    .message = { $figure } de { $name } siguen mojados: ningún tubo que drene queda cerca.
    .message-less = Menos de { $figure } de { $name } siguen mojados: ningún tubo que drene queda cerca.
    .title = { $name } queda sin drenar
    .remedy = Deje { $what } como está

wrong-roughness =
    .message = La capacidad de { $name } se calculó con n { $figure }; { $wall } necesita cerca de { $figure-about }.
    .title = { $name } tiene una rugosidad rara
    .remedy = Calcule { $name } con n { $figure }

yard-or-store =
    .message = { $figure } de { $name } cerca de { $what } pueden ensuciar el canal.
    .title = { $name } pasa por { $what }

ways-out =
    .untried = No se probó ningún cambio: { $why }.
    .none-because = Ningún cambio solo lo resuelve: { $why }.
    .none = Ningún cambio solo lo resuelve.

## What stands within a sentence, known there only

part-places =
    .span = de { $figure } a { $figure-to }
    .spans = de { $figure } a { $figure-to } y { $places }
    .point = en { $figure }
    .span-of = de { $figure } a { $figure-to } de { $name }
    .span-of-more = de { $figure } a { $figure-to } de { $name }, { $places }
    .span-of-last = de { $figure } a { $figure-to } de { $name } y { $places }
    .range = { $figure } a { $figure-to }
    .whole = en toda su longitud
    .corner = la esquina { $figure } de { $figure-of }
    .boundary = El lindero
    .part = La parte { $figure } excluida
    .upper-end = El extremo de arriba de { $name }
    .left = la izquierda
    .right = la derecha
    .north = el norte
    .northeast = el noreste
    .east = el este
    .southeast = el sureste
    .south = el sur
    .southwest = el suroeste
    .west = el oeste
    .northwest = el noroeste
    .all = toda
    .and = { $names } y { $name }
    .more = { $names }, { $figure } más
    .these = estas { $figure } líneas

part-words =
    .higher = más alta
    .lower = más baja
    .over = arriba
    .under = debajo
    .lidar = el lidar
    .other-batches = las otras series
    .rises = sube 1 en { $figure }
    .runs = el tubo lleno corre a { $figure }
    .low-water = el nivel bajo del agua
    .channel-bottom = el fondo del canal
    .pipe = el tubo
    .channel = el canal
    .of-clay = barro de { $name }
    .of-concrete = concreto de { $name }
    .of-metal = metal de { $name }
    .outlet-concrete = tubo de salida, concreto de { $name }
    .outlet-metal = tubo de salida, metal de { $name }
    .unknown = desconocido
    .clay = barro
    .concrete = concreto
    .plastic = plástico
    .metal = metal
    .corrugated = el tubo corrugado
    .smooth = el tubo liso
    .laid-solid = sin perforar { $place }, en el plan perforado
    .laid-perforated = perforado { $place }, en el plan sin perforar
    .laid-size = { $figure } { $place }, en el plan { $figure-planned }
    .laid-both-solid = { $figure }, sin perforar { $place }, en el plan { $figure-planned }, perforado
    .laid-both = { $figure }, perforado { $place }, en el plan { $figure-planned }, sin perforar
    .photo = la foto
    .size = el tamaño
    .direction = la dirección
    .decision = la decisión
    .storage = el depósito
    .level-switch = el interruptor de nivel
    .power = la corriente
    .lacks-and = { $what } y { $other }
    .lacks-list = { $what }, { $other }
    .wells = pozos
    .septic = fosa séptica
    .pumps = corriente para bombas
    .irrigation = riego
    .start = el punto de su inicio
    .end = el punto de su final
    .inverts = los fondos { $place }
    .no-more = { $what }, { $other }
    .cover = { $figure } de tierra encima
    .out = { $figure } fuera del terreno
    .no-cover = nada de tierra encima
    .cover-wanted = { $cover } donde deben ser { $figure }
    .not-solid = tubo que no es sin perforar { $place }
    .and-with = { $cover }, y con { $other }
    .rows = { $figure } hileras ({ $figure-wide })
    .deep = a { $figure } de hondo
    .surface = en la superficie
    .feet = pies
    .meters = metros
    .brief = la textura de los datos
    .given = el suelo como se dio
    .pit-soil = el suelo de la calicata { $name }
    .crops = cultivos de campo
    .vines = viñas y frutales
    .vegetables = hortalizas
    .wet-land = terreno donde se estanca la lluvia
    .batch = la serie { $name }
    .the-ground = el terreno
    .benchmark = el banco de nivel { $name }
    .other-unit = niveles en unidad desconocida
    .file-of = { $name } del { $figure }
    .large = el plan es grande, pida solo este hallazgo
    .lesser = no está todo el terreno que nombra el plan
    .brings = { $deed }, pero eso trae: { $title }
    .join = unir
    .bridge = puentear
    .replace = reemplazar
    .bypass = desviar
    .plug = taponar

survey-corrections =
    .more = { $deed } y { $figure } más
    .any = Corrija el levantamiento
    .convert = Lea la serie { $name } en { $unit }
    .shift = Mueva la serie { $name } { $figure }
    .shift-lidar = Mueva el lidar { $figure }
    .datum = Tome la serie { $name } como llevada a { $name-datum }
    .correct = Corrija { $name } de la serie { $name-batch } por { $figure }
    .leave-out = Deje fuera { $name } de la serie { $name-batch }
    .leave-out-batch = Deje fuera la serie { $name }
    .keep = Deje la serie { $name } como está, con diferencia de { $figure }

part-soils =
    .gravel = arena gruesa o grava
    .sand = arena
    .loamy-sand = arena franca
    .sandy-loam = franco arenoso
    .loam = franco
    .silt-loam = franco limoso
    .silt = limo
    .sandy-clay-loam = franco arcilloso arenoso
    .sandy-clay = arcilla arenosa
    .silty-clay-loam = franco arcilloso limoso
    .clay-loam = franco arcilloso
    .silty-clay = arcilla limosa

part-structures =
    .blind-inlet = toma ciega
    .open-inlet = toma abierta
    .breather = respiradero
    .relief-well = pozo de alivio
    .silt-trap = trampa de sedimento
    .junction-box = caja de unión
    .drop = caída

marks =
    .gas = línea de gas { $name }
    .oil = línea de petróleo { $name }
    .power = cable eléctrico { $name }
    .phone = teléfono o fibra { $name }
    .water = línea de agua { $name }
    .sewer = drenaje sanitario { $name }
    .reclaimed = agua de riego o tratada { $name }
    .utility = servicio subterráneo { $name }
    .overhead = línea eléctrica aérea { $name }
    .easement = servidumbre { $name }
    .wetland = humedal { $name }
    .well = pozo { $name }
    .septic = fosa séptica { $name }
    .trees = árboles { $name }
    .hedge = seto { $name }
    .road = camino { $name }
    .irrigation = línea principal de riego { $name }
    .vines = viñas { $name }
    .rows = hileras { $name }
    .pit = calicata { $name }
    .wet = área húmeda { $name }
    .spring = manantial { $name }
    .bank = presa o bordo { $name }
    .footing = cimiento o muro { $name }
    .store = bodega o corral { $name }
    .neighbour = lado del vecino { $name }
    .flag = aviso del sitio { $name }
    .ditch = canal { $name }
    .culvert = alcantarilla { $name }
    .outlet = salida { $name }
    .old-tile = dren viejo { $name }
    .gas-bare = línea de gas
    .power-bare = cable eléctrico

## What cut sheets say of a line

pipe-words =
    .one-corrugated = { $figure } corrugado: { $parts }
    .one-smooth = { $figure } liso por dentro: { $parts }
    .one-rigid = { $figure } rígido: { $parts }
    .corrugated = { $figure } corrugado, { $parts }
    .smooth = { $figure } liso por dentro, { $parts }
    .rigid = { $figure } rígido, { $parts }

part-pipes =
    .more = { $part }, { $parts }
    .perforated = perforado { $figure } a { $figure-to }
    .solid = sin perforar { $figure } a { $figure-to }
    .heavy = reforzado sin perforar { $figure } a { $figure-to }
    .stick = rígido de salida { $figure } a { $figure-to }
    .body-corrugated = { $figure } corrugado, { $part }
    .body-smooth = { $figure } liso por dentro, { $part }
    .body-rigid = { $figure } rígido, { $part }
    .kind-perforated = tubo perforado
    .kind-solid = tubo sin perforar
    .kind-heavy = tubo reforzado sin perforar
    .kind-stick = tubo rígido de salida
    .wall-corrugated = corrugado
    .wall-smooth = liso por dentro
    .wall-rigid = rígido
    .sock = funda de tela
    .stone = piedra { $figure } todo alrededor
    .narrow = ranuras angostas
    .filled = zanja rellena con piedra

zero-words =
    .outlet = 0+00 es la salida { $name }; las estaciones van aguas arriba
    .joint-at = 0+00 es la unión con { $name } en { $figure }; las estaciones van aguas arriba
    .joint = 0+00 es la unión con { $name }; las estaciones van aguas arriba
    .nothing = 0+00 es el extremo de abajo, que no se une a nada; las estaciones van aguas arriba

here =
    .no-level = SIN NIVEL de aquí a { $figure }: no hay terreno
    .coupler = COPLE, { $wall } de aquí hacia arriba
    .eccentric = REDUCCIÓN EXCÉNTRICA { $figure } a { $figure-to }, fondos a nivel
    .reducer-up = REDUCCIÓN { $figure } a { $figure-to }, claves a nivel: el fondo sube { $figure-by }
    .reducer-up-to = REDUCCIÓN { $figure } a { $figure-to }, claves a nivel: el fondo sube { $figure-by } a { $figure-level }
    .reducer-down = REDUCCIÓN { $figure } a { $figure-to }, claves a nivel: el fondo baja { $figure-by }
    .reducer-down-to = REDUCCIÓN { $figure } a { $figure-to }, claves a nivel: el fondo baja { $figure-by } a { $figure-level }
    .from-main = Sigue de { $name }: { $figure } a { $figure-to }
    .tee-main = Te { $figure } × { $figure-small } en { $name }, el ramal { $figure-up } arriba
    .tee-main-flat = Te { $figure } × { $figure-small } en { $name }, el ramal arriba
    .carries-on = { $name } sigue: { $figure } a { $figure-to }
    .tee-left = TE { $figure } × { $figure-small }, { $name } sale a la izquierda
    .tee-right = TE { $figure } × { $figure-small }, { $name } sale a la derecha
    .grade = CAMBIO DE PENDIENTE a { $figure }
    .pipe = CAMBIO DE TUBO a { $kind }
    .cap = TAPÓN FINAL; ponga poste
    .no-cap = FINAL, sin tapón
    .trench = ZANJA DE { $figure } O MÁS HONDA { $figure-from } a { $figure-to }, { $figure-length }, hasta { $figure-depth }: nadie entra sin protección
    .no-dig = NO EXCAVE entre aquí y { $figure }
    .moved = INSTRUMENTO MOVIDO: plano láser { $figure } de aquí hacia arriba
    .no-plane = INSTRUMENTO MOVIDO: SIN PLANO LÁSER de aquí hacia arriba
    .no-plane-alone = SIN PLANO LÁSER de aquí hacia arriba
    .riser = TOMA DE SUPERFICIE
    .blind-inlet = TOMA CIEGA
    .breather = RESPIRADERO
    .relief-well = POZO DE ALIVIO
    .silt-trap = TRAMPA DE SEDIMENTO
    .junction-box = CAJA DE UNIÓN
    .drop = CAÍDA

ahead =
    .at = { $figure } { $what }
    .no-dig = { $figure } NO EXCAVE
    .no-dig-to = { $figure } a { $figure-to } NO EXCAVE

part-ahead =
    .buried = { $what }, { $depth }, { $how }
    .buried-exposed = { $what }, arriba a { $figure }, abajo a { $figure-bottom }, descubierto a mano, { $how }
    .down = a { $figure } de hondo
    .depth-unknown = PROFUNDIDAD DESCONOCIDA
    .exposed = arriba a { $figure }, abajo a { $figure-bottom }, descubierto a mano
    .no-dig = NO EXCAVE { $figure } a { $figure-to }
    .no-dig-at = NO EXCAVE { $figure }
    .by-hand = excave a mano { $figure } a cada lado
    .overhead = LÍNEA ELÉCTRICA ARRIBA { $name }
    .end-post = línea de postes finales de { $name }
    .old-tile = dren viejo { $name }: vaya despacio, observe, anótelo
    .crosses = cruza { $name }

seen =
    .at = { $severity } { $figure }: { $title }
    .span = { $severity } { $figure } a { $figure-to }: { $title }

severity =
    .no-dig = NO EXCAVE
    .fix = CORRIJA
    .decide = por decidir
    .note = nota
    .accepted-fix = aceptado: corrija
    .accepted-decide = aceptado: por decidir
    .accepted-note = aceptado: nota

places =
    .all = toda la línea
    .span = { $figure } a { $figure-to }
    .span-more = { $figure } a { $figure-to }, { $places }
    .point-more = { $figure }, { $places }
    .on-all = { $name } toda
    .on-span = { $name } { $figure } a { $figure-to }
    .on-span-more = { $name } { $figure } a { $figure-to }, { $places }
    .on-point-more = { $name } { $figure }, { $places }

planes =
    .one = { $figure } de { $figure-from } a { $figure-to }
    .more = { $figure } de { $figure-from } a { $figure-to }, { $more }

terms =
    .coordinates = Coordenadas: { $name-system }, este y norte en { $unit }
    .no-coordinates = Coordenadas: ninguna, el plan no nombra terreno, este y norte en { $unit }
    .levels = Niveles en { $unit }, datum vertical: { $name-datum }
    .levels-none = Niveles en { $unit }, datum vertical: no indicado

part-terms =
    .meters = metros
    .feet = pies internacionales
    .survey-feet = pies topográficos de EE. UU.
    .not-stated = no indicado

edition =
    .draft = BORRADOR, no emitido
    .draft-after = BORRADOR después de la revisión { $name }
    .issued = Revisión { $name }, { $name-by }, { $figure }
    .issued-replaces = Revisión { $name }, reemplaza la revisión { $name-old }, { $name-by }, { $figure }
    .all-the-same = Revisión { $name }, A PESAR DE TODO, { $name-by }, { $figure }
    .all-the-same-replaces = Revisión { $name }, A PESAR DE TODO, reemplaza la revisión { $name-old }, { $name-by }, { $figure }
    .replaced = Revisión { $name }, reemplazada
    .out-of-date = LA REVISIÓN { $name } YA NO VALE: la revisión { $name-new } del { $figure } la reemplazó. No excave con ella.
    .differs = Es distinta de la revisión { $name }, que está en la cabina. Emita la siguiente revisión antes de excavar. Cambió: { $changes }.

changes =
    .unknown = no se sabe, la revisión { $name } la emitió una versión anterior del programa
    .rows-cut = renglones de { $names }
    .was = { $about } era { $then }, es { $now }
    .not-what = { $about } ya no es lo que era
    .became = { $about }: '{ $then }' pasó a '{ $now }'
    .new-of = { $about } no estaba antes: { $now }
    .gone-was = { $about } ya no está, era { $then }
    .new-at = { $about } no estaba antes, en { $figure }
    .new = { $about } no estaba antes
    .gone = { $about } ya no está
    .up = { $about } subió { $figure }
    .down = { $about } bajó { $figure }

part-facts =
    .job = El nombre del trabajo
    .datum = El datum
    .system = El sistema de coordenadas
    .width = El ancho de la zanja
    .bedding = La cama
    .cover = La cobertura mínima del trabajo
    .protected = La profundidad desde la que se protege la zanja
    .ladder = La profundidad desde la que hay escalera en la zanja
    .hand = El tramo que se excava a mano junto a un servicio
    .benchmark = El banco de nivel { $name }
    .benchmark-place = El lugar del banco de nivel { $name }
    .benchmark-datum = El datum del banco de nivel { $name }
    .channel = El fondo del canal en la salida { $name }
    .low-water = El nivel bajo del agua en la salida { $name }
    .flood = La creciente en la salida { $name }
    .outlet = La salida { $name }
    .outlet-place = El lugar de la salida { $name }
    .outlet-making = La construcción de la salida { $name }
    .boundary = El lindero
    .course = El trazo de { $name }
    .mark-place = El lugar de { $what }
    .old-tile = El dren viejo { $name }
    .trench = La zanja protegida de { $name }
    .ladder-trench = La zanja con escalera de { $name }
    .pipe = El tubo de { $name }
    .stations = Las estaciones de { $name }
    .plane = El plano láser de { $name }
    .units = Las unidades
    .no-dig = NO EXCAVE en { $place } ({ $title })
    .finding = Hallazgo "{ $title }" en { $place }
    .gone-line = una línea que ya no está

sizes =
    .two = { $figure } a { $figure-to }
    .more = { $figure } a { $sizes }

## Cautions own
caution = Antes de excavar mande localizar los servicios públicos subterráneos, y también las líneas privadas. Nadie entra en una zanja de 5 ft (1.5 m) o más honda sin taludes, apuntalamiento o caja de zanja. Pregunte primero por humedales, permisos, servidumbres y el agua del vecino. Los niveles vienen del terreno que se entregó: compruebe la salida y el canal con nivel. Las cantidades son estimaciones. El código local y el profesional con licencia valen más que este plan, que es una ayuda para planear y no el diseño de un ingeniero.
caution-short = Primero localice los servicios subterráneos. Nadie en zanja de 5 ft (1.5 m) sin protección. Primero humedales, permisos y código local. Estimaciones.

## Words of all sheets own
do-not-dig = NO EXCAVE
station = Estación
cut = Corte
ground = Terreno
invert = Fondo
coming = ADELANTE { $what }
or = {""}, o { $next }
or-else = {""}, { $next }
accepted = Aceptado: { $because }. { $by }, { $day }.
still-open-one = 1 hallazgo por corregir sigue abierto. { $who }.
still-open = { $count } hallazgos por corregir siguen abiertos. { $who }.
issued-all-the-same = Emitido a pesar de todo por { $by }, { $day }: { $because }
handed-all-the-same = Entregado a pesar de todo por { $by }, { $day }: { $because }
not-issued = No emitido: primero se corrige, después se excava
end-of-line = final

## The field page own
page-title = { $name }: página de campo
page-draft = BORRADOR
page-not-issued = no emitido
page-revision = REV { $letter }
page-strike = ¿Golpeó una línea? Si huele a gas: aléjese, luego llame.
page-strike-stop = Pare. No la tape, no la repare, mantenga a todos lejos.
page-strike-gas = Si huele a gas o silba: aléjese de inmediato, contra el viento y a pie. No arranque ni apague motores, no toque interruptores, no encienda nada. Ya lejos, llame a emergencias (911, 112) y a la compañía de gas.
page-strike-power = Cable eléctrico: quédese en la máquina y llame; nadie se baja y nadie se acerca hasta que corten la corriente.
page-strike-other = Todo lo demás, también un rayón en el forro: llame al dueño y al servicio de localización (811 en EE. UU.) antes de que alguien siga.
page-before = Antes de excavar
page-no-dig = NO EXCAVE { $place }: { $title }
page-no-ticket = { $what }: SIN BOLETO DE LOCALIZACIÓN
page-ticket = { $what }: boleto de localización { $ticket }, sin último día anotado
page-ticket-until = { $what }: boleto de localización { $ticket } vale hasta { $day }
page-no-utility = En este plan no hay servicios subterráneos dibujados. Eso no es garantía: mándelos localizar antes de excavar.
page-map = Mapa
page-map-of = Mapa de { $name }, norte arriba
page-lines = Líneas
page-cautions = Precauciones
page-line = { $name }: { $words }, { $length }
page-line-head = { $zero }. Tubo { $pipe }. Hasta el fondo de la zanja = corte + { $below } de pared y cama. Cifras en { $unit }.
page-line-from = { $size }, desde { $name }
page-line-from-at = { $size }, desde { $name } en { $station }
page-head-from = Desde
page-head-bottom = Hasta el fondo de la zanja
page-head-next = Al siguiente
page-head-here = Aquí, adelante, pendiente
page-hub = estaca { $level }
page-ground = terreno
page-where = Dónde
page-what = Qué pasa y qué hacer
page-nothing-open = Según las revisiones no hay nada pendiente. Camine las líneas antes de excavar.
page-findings = Hallazgos, { $count } en total
page-benchmark = Banco de nivel
page-level = Nivel
page-easting = Este
page-northing = Norte
page-no-benchmark = No hay banco de nivel anotado: ponga uno antes de excavar.
page-benchmarks = Bancos de nivel y base de los niveles
page-liters = litros
page-gallons = galones
page-on-invert = fondo interior del tubo
page-on-top = parte de arriba del tubo
page-on-trench = fondo de la zanja
page-on-ground = terreno a un lado
page-condition-unknown = nadie revisó por dentro
page-condition-good = bueno: limpio, conserva la pendiente
page-condition-fair = regular: a lo más un tercio de azolve, grietas finas
page-condition-poor = malo: más azolve, roto, raíces
page-about-digging = la excavación
page-about-changed = colocado distinto al plan
page-about-repair = una reparación
page-about-care = cuidado anual
page-running-unknown = nadie revisó
page-running-dry = seco
page-running-runs = corre, sin medir
page-running-flow = corre, cubeta y segundos
page-made-unknown = desconocido
page-made-clay = barro
page-made-concrete = concreto
page-made-plastic = plástico
page-made-metal = metal

## The script of the field page own
script-falls = baja hacia 0+00
script-rises = SUBE hacia 0+00
script-level-grade = A NIVEL
script-no-ticket = { $what }: SIN BOLETO DE LOCALIZACIÓN. No excave ahí.
script-no-day = { $what }: boleto de localización { $ticket }, sin último día anotado. Pregunte antes de excavar.
script-ran-out-one = { $what }: el boleto de localización { $ticket } VENCIÓ hace 1 día ({ $until }). Mándelo renovar antes de excavar.
script-ran-out = { $what }: el boleto de localización { $ticket } VENCIÓ hace { $days } días ({ $until }). Mándelo renovar antes de excavar.
script-today = { $what }: el boleto de localización { $ticket } vence HOY ({ $until })
script-runs-out-one = { $what }: el boleto de localización { $ticket } vence en 1 día ({ $until })
script-runs-out = { $what }: el boleto de localización { $ticket } vence en { $days } días ({ $until })
script-by-phone = Según la fecha de este teléfono, { $today }.
script-line = Línea
script-station = Estación
script-stations = Estaciones
script-no-level = Sin nivel en { $station }
script-no-dig = NO EXCAVE en { $station }
script-here = Aquí:
script-next-fitting = Siguiente pieza en { $way }:
script-ahead = Adelante en { $way }:
script-not-known = Corte desconocido: sin terreno en { $station }
script-hub-left = Corte desde la estaca, { $off } a la izquierda viendo aguas arriba
script-hub-right = Corte desde la estaca, { $off } a la derecha viendo aguas arriba
script-hub = Corte desde la estaca, sobre la línea
script-from-ground = Corte desde el terreno en el eje
script-goes-up = EL CORTE VA HACIA ARRIBA: revise la estaca.
script-to-bottom = Hasta el fondo de la zanja
script-ground = Terreno
script-unknown = desconocido
script-invert = Fondo del tubo
script-grade = Pendiente a { $station }
script-rod = Estadal en el fondo del tubo, plano { $level }
script-rod-bottom = Estadal en el fondo de la zanja
script-plane = Altura del instrumento (nivel de su plano)
script-beside = Lugar fuera de las líneas:
script-back = Volver a { $name } { $station }
script-who = Quién
script-rod-reading = Lectura del estadal
script-shot = Medida de lo colocado
script-held-on = Apoyado en
script-level-itself = o el nivel mismo
script-remark = Observación
script-keep-shot = Guardar esta medida
script-find = Dren viejo encontrado
script-easting = Este, si no es en la estación
script-northing = Norte
script-its-invert = o su fondo, un nivel
script-diameter = Diámetro interior
script-made = Hecho de
script-falls-toward = Baja hacia
script-water = Agua
script-bucket = Cubeta, { $unit }
script-seconds = se llena en segundos
script-silt = Azolve adentro
script-condition = Estado
script-photo = Foto, su nombre
script-do-not-plug = No lo tape ni lo corte antes de que responda quien hizo el plan.
script-keep-find = Guardar este hallazgo
script-note = Nota, foto
script-about = Sobre
script-note-text = Nota
script-agreed = De acuerdo con, si alguien debía estarlo
script-keep-note = Guardar esta nota
script-not-known-way = no se sabe
script-north = norte
script-north-east = noreste
script-east = este
script-south-east = sureste
script-south = sur
script-south-west = suroeste
script-west = oeste
script-north-west = noroeste
script-on-map = { $title }, en el lugar del mapa
script-at = { $title }, { $name } { $station }
script-cancel = Cancelar
script-wanted = { $what }: se encontró '{ $found }', se esperaba { $expected }
script-such-feet = una cifra como 3.71, 3'-8 1/2" o 1130 mm
script-such-meters = una cifra como 1.13 o 1130 mm
script-between = una cifra entre { $least } y { $most }
script-level = Nivel
script-instrument = Altura del instrumento
script-plane-wanted = el nivel de su plano, con el que la lectura del estadal da un nivel
script-easting-alone = Este
script-typed-place = El lugar escrito
script-one-figure = una sola cifra
script-both = este y norte
script-shot-short = Medida
script-neither = ni lectura del estadal ni nivel
script-one-of-two = una de las dos
script-bucket-short = Cubeta
script-seconds-short = Segundos
script-no-bucket = sin cubeta o sin segundos
script-bucket-wanted = qué tamaño de cubeta se llena en cuántos segundos
script-silt-short = Azolve
script-nothing = nada
script-some-words = unas palabras o el nombre de una foto
script-name-wanted = el nombre de quien lo vio
script-kept = Guardado.
script-kept-below = Guardado. { $off } debajo del fondo planeado ahí.
script-kept-above = Guardado. { $off } arriba del fondo planeado ahí.
script-found-short = Dren encontrado
script-beside-lines = fuera de las líneas
script-handed-as = Entregado como { $name }. Lleve ese archivo a quien hizo el plan.
script-save-now = Guarde el archivo que se ofrece ahora, { $name }: este teléfono no guarda nada.
script-copied = Copiado. Péguelo en un mensaje o en un archivo que termine en .geojson.
script-no-copy = Este teléfono no copia para la página: mantenga presionado el texto y cópielo a mano.
script-on-phone = En este teléfono
script-refused = Este teléfono no deja que la página guarde nada. Cada anotación se entrega de inmediato: guarde el archivo que ofrece, y deje esta página abierta hasta hacerlo.
script-open-count = { $open } de { $all } todavía sin entregar
script-nothing-entered = Todavía no hay nada anotado.
script-elsewhere = { $count } todavía sin entregar en una página anterior de este plan: abra esa página y entréguelas también.
script-take-out = Quitar
script-handed-back = entregado
script-all-entries = Todas las anotaciones como texto
script-hand-back = Entregar como archivo
script-copy = O copiar
script-nearer = Acercar
script-farther = Alejar
script-whole = Todo el campo
script-station-wrong = Estación: se encontró '{ $text }', se esperaba una entre 0+00 y { $end }
script-no-lines = Este plan no tiene ninguna línea con niveles.
script-shot-here = Medir aquí

## Head and foot of the pages a crew reads own
head-as-of = al { $day }  ·  { $levels }
head-no-date = sin fecha  ·  { $levels }
head-meters = niveles en metros, datum vertical: { $datum }  ·  { $mark }
head-feet = niveles en pies y centésimas, datum vertical: { $datum }  ·  { $mark }
head-survey-feet = niveles en pies topográficos de EE. UU. y centésimas, datum vertical: { $datum }  ·  { $mark }
head-no-benchmark = sin banco de nivel anotado
head-changed = Cambió desde la revisión { $letter }: { $changes }.
head-more = {" "}… completo en la página 1
foot-accepted = Aceptado con nombre: { $all }
foot-more = {" "}… vea Findings
foot-page = página { $number } de { $count }

## Cut sheets own
cut-sheets = Hojas de corte
cut-sheet = Hoja de corte { $name }
cut-continued = continuación
cut-thumbnail = Todas las líneas en pequeño, norte arriba, { $name } en grueso
cut-reading = CORTE: desde la estaca, si no hay desde el TERRENO, al fondo del tubo. Al fondo de zanja: corte con pared y cama. I o D: izquierda o derecha viendo aguas arriba.
cut-reading-ground = Sin niveles de estacas: todo CORTE es desde el TERRENO en el eje, al fondo del tubo. Al fondo de zanja: corte con pared y cama.
cut-terms-meters = Cifras en metros y milímetros (1.205 es 1 m 205 mm). Estación 1+20: 120 m aguas arriba de 0+00. Cobertura mínima { $cover }. Zanja de { $width } de ancho.
cut-terms-feet = Cifras en pies (ft) y centésimas. Estación 2+50: 250 ft aguas arriba de 0+00. Cobertura mínima { $cover }. Zanja de { $width } de ancho.
cut-from-hubs = Cortes desde las estacas. Pared y cama { $below }
cut-from-both = Cortes desde las estacas; donde no hay estaca, desde el TERRENO. Pared y cama { $below }
cut-from-ground = Sin niveles de estacas: todo corte es desde el TERRENO en el eje. Pared y cama { $below }
cut-below = Pared y cama { $below }
cut-below-from = { $figure } desde { $station } hacia arriba
cut-pipe = Tubo { $pipe }
cut-no-plane = Sin plano láser para esta línea
cut-plane = Plano láser en { $planes }. Estadal sobre el fondo del tubo; en el fondo de la zanja sume pared y cama
cut-buried = ENTERRADO AQUÍ, localice primero: { $what }
cut-more-fix = y { $count } más por CORREGIR, en la lista del final
cut-nothing-open = Según las revisiones no hay nada pendiente en esta línea. Camínela antes de excavar.
cut-open = Pendiente en esta línea, y lo aceptado con nombre
cut-open-short = Pendiente aquí, o aceptado; completo en Findings:
cut-check = Revisión: longitudes × pendientes impresas { $sum }, último fondo menos el primero { $ends }: coincide dentro del redondeo
cut-check-short = Revisión: longitudes × pendientes impresas { $sum }, último fondo menos el primero { $ends }: coincide
cut-check-wrong = Revisión: longitudes × pendientes impresas { $sum }, último fondo menos el primero { $ends }: NO COINCIDE
cut-sum-steps = { $sum }, reducciones { $steps }
cut-extreme = { $depth } en { $station }
cut-no-ground = desconocida, sin terreno
cut-depths = Cobertura menor { $cover }  ·  zanja más honda { $deep }, { $protection }
cut-ladder = Escalera o rampa, zanja desde { $limit }: { $places }
cut-unknown = TERRENO DESCONOCIDO, no se puede decir profundidad ni protección: { $places }
cut-goes-up = UN CORTE VA HACIA ARRIBA: REVISE LAS ESTACAS
cut-falls = Baja todo el tramo desde el extremo de arriba, { $high }, hasta { $low }
cut-falls-short = Baja todo el tramo
cut-falls-known = Baja todo el tramo desde { $high }, hasta { $low }
cut-rises = de { $from } bajando a { $to } SUBE { $up }
cut-lies-level = de { $from } bajando a { $to } va A NIVEL
cut-not-falling = NO BAJA TODO EL TRAMO: { $places }
cut-under = menos de { $limit } en todas partes
cut-under-known = menos de { $limit } donde se conoce el terreno
cut-protection = NECESITA PROTECCIÓN { $places }, { $length }
cut-dug-by = excavó
cut-date = fecha
cut-head-station = Estación
cut-head-hub = Estaca
cut-head-hub-level = Nivel/estaca
cut-head-ground = Terreno
cut-head-cut = CORTE
cut-head-inches = CORTE, pies/y pulgadas
cut-head-bottom = Al fondo/de la/zanja
cut-head-invert = Fondo/del tubo
cut-head-grade = Pendiente/al próximo
cut-head-depth = Hondo/del fondo
cut-head-cover = Cobertura
cut-head-rod = Estadal
cut-head-dug = Como quedó
cut-head-photo = Foto
cut-on-line = en línea
cut-left = { $off } I
cut-right = { $off } D
cut-ground = terreno
cut-level = { $grade } a nivel

## The first page own
cover-title = Antes de excavar
cover-why = Por qué: { $because }.
cover-changed = Cambió desde la revisión { $letter }
cover-unchanged = Nada de lo que dicen estas hojas.
cover-no-dig = Estos tramos no se excavan hasta que se haga lo que se pide. Ninguna firma lo levanta.
cover-fix = Por corregir antes de excavar
cover-whole-job = Para todo el trabajo
cover-nothing-else = No hay nada más pendiente fuera de las hojas de corte.
cover-where-open = Lo pendiente de una línea está en su hoja de corte; todo está en Findings.
cover-english = La hoja del plano, los perfiles, las tablas, los hallazgos completos (Findings) y lo demás de este juego están en inglés.
cover-trench = Zanja de { $depth } o más honda
cover-no-trench = Ninguna, hasta donde se conoce el terreno.
cover-together = en total
cover-from = De
cover-to = A
cover-length = Longitud
cover-deepest = Más honda
cover-nobody = Nadie entra hasta que tenga taludes, apuntalamiento o caja de zanja.
cover-line = Línea
cover-buried = Enterrado a lo largo de las líneas: mándelo localizar primero
cover-where-what = Dónde y qué
cover-index = Líneas y sus páginas
cover-pipe = Tubo
cover-into = Hacia
cover-profile = Perfil
cover-cut-sheet = Hoja de corte
cover-nothing = nada
cover-in-short = Qué hacer con cada uno está en Findings, por su número.
cover-where = Dónde
cover-what = Qué pasa y qué hacer
